"""What is kept out of a published copy: texts with what stands in their place, photographs with what they came as."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from pydantic import ConfigDict

from coldpin.records.plain import STRICT

PRIVATE_FORMAT = "coldpin.private/1"
"""The value of ``format`` in ``private.toml``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToWithhold:
    """A text that a person wants to be kept out of everything published, and what it is ("order number")."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    text: str
    what: str = "text"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrivateDescription:
    """``private.toml``: what a person keeps out of what is published; the file itself is never published."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    format: str
    withhold: tuple[ToWithhold, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WithheldText:
    """A text and what is printed in its place; ``found`` says whether a person named it or its form gave it away."""

    placeholder: str
    text: str
    what: str
    found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedPhotograph:
    """A photograph as published, and the file of the case it is made from."""

    name: str
    entry: str
    file: str
    original_name: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedFile:
    """A file as it stands in a bundle, and the file of the case it is made from."""

    file: str
    sha256: str
    original: str
    original_sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WithheldMapping:
    """What stands for what in the published issues and bundles of a case; kept in the case and never published."""

    schema: Literal["coldpin.withheld/1"] = "coldpin.withheld/1"
    texts: tuple[WithheldText, ...] = ()
    photographs: tuple[PublishedPhotograph, ...] = ()
    files: tuple[ChangedFile, ...] = ()
