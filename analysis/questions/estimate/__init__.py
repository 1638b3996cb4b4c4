"""An answer before a tank was run: what runs of other tanks with the same species foretell."""
