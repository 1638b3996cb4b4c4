"""What is said of a result, as objects: made once, shown as text, as HTML or as plain values."""

from .blocks import Block as Block
from .blocks import Bullets as Bullets
from .blocks import Code as Code
from .blocks import Column as Column
from .blocks import Document as Document
from .blocks import Figure as Figure
from .blocks import Heading as Heading
from .blocks import Item as Item
from .blocks import Note as Note
from .blocks import Paragraph as Paragraph
from .blocks import Section as Section
from .blocks import Table as Table
from .blocks import Text as Text
from .blocks import deeper as deeper
from .blocks import document as document
from .blocks import flush as flush
from .blocks import section as section
from .blocks import table as table
from .html import as_html as as_html
from .text import WIDTH as WIDTH
from .text import as_text as as_text
from .values import as_json as as_json
