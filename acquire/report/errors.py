"""What a person can meet when a page or a figure is made."""


class ReportError(Exception):
    """A page or figure cannot be made or written; the sentence says what was found, expected, and the way out."""
