"""The one exception of the package."""

from __future__ import annotations


class Error(ValueError):
    """Why a document or a call was refused.

    Attributes:
        code: Stable name of what went wrong, such as ``"self_crossing"``; `error_codes` lists them all.
        number: Its stable number, the same as in C.
        path: JSON Pointer (RFC 6901) of the offending value, such as ``"/roofs/0/outer"``; empty for the whole.
        message: One sentence with the value and what would be valid.
        problems: Every problem found, this one first.

    Example:
        >>> import upstand
        >>> try:
        ...     upstand.plan({"schema": "upstand/job/1", "roofs": "none"})
        ... except upstand.Error as error:
        ...     error.code, error.number, error.path
        ('bad_value', 9, '/roofs')
    """

    code: str
    number: int
    path: str
    message: str

    def __init__(self, code: str, number: int, path: str, message: str, others: tuple[Error, ...] = ()) -> None:
        # All of it goes into `args`, so that errors survive pickling between processes.
        super().__init__(code, number, path, message, others)
        self.code = code
        self.number = number
        self.path = path
        self.message = message
        self._others = others

    @property
    def problems(self) -> list[Error]:
        """Every problem found, this one first."""
        return [self, *self._others]

    def __str__(self) -> str:
        place = f"{self.path}: " if self.path else ""
        more = f" (and {len(self._others)} more)" if self._others else ""
        return f"{place}{self.message} [{self.code}]{more}"


Error.__module__ = "upstand"
