"""Ready files of a folder of the package, by name: that of the file without ``.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib import resources

ENDING = ".toml"


@dataclass(frozen=True)
class Ready:
    """The ready files beside the modules of one package."""

    package: str

    def names(self) -> list[str]:
        """All names in alphabetical order."""
        files = (entry.name for entry in resources.files(self.package).iterdir())
        return sorted(name.removesuffix(ENDING) for name in files if name.endswith(ENDING))

    def text(self, name: str) -> str:
        """The text of one; KeyError when there is none of that name."""
        if name not in self.names():
            raise KeyError(name)
        return resources.files(self.package).joinpath(name + ENDING).read_text(encoding="utf-8")

    def questions(self) -> dict[str, str]:
        """The question of each, by name."""
        return {name: str(tomllib.loads(self.text(name)).get("question", "")) for name in self.names()}
