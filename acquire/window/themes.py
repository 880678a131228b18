"""Colours of the window as data, and the contrast between them by the formula of WCAG 2; knows no Qt."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Theme:
    """One set of colours, each `#rrggbb`.  Meaning is never carried by colour alone."""

    name: str
    paper: str  # behind everything
    card: str  # behind a panel
    edge: str  # around a panel; decoration, the panel is told by its place
    ink: str  # text
    quiet: str  # lesser text
    faint: str  # text of steps still to do
    temperature: str
    pressure: str
    act_back: str  # behind the next practical act
    plateau: str  # fill of a plateau
    plateau_edge: str
    offered: str  # fill of a proposal
    grid: str
    bar_back: str  # rest of a bar
    button: str  # an act
    button_ink: str
    due: str  # the act that is due
    due_ink: str
    focus: str  # ring around what has the keyboard
    caution: str
    caution_ink: str
    warning: str
    warning_ink: str
    axis: str
    outline: float = 1.0  # [px] width of panel edges


LIGHT = Theme(
    name="light",
    paper="#fbfaf6", card="#ffffff", edge="#d8d4c6", ink="#1b2126", quiet="#56616a", faint="#616b73",
    temperature="#b3541e", pressure="#00695c", act_back="#e9f1f6",
    plateau="#d3e6f3", plateau_edge="#3d86b8", offered="#f3ead0",
    grid="#e9e6dc", bar_back="#e6e1d5", button="#ffffff", button_ink="#1b2126", due="#1b2126", due_ink="#ffffff",
    focus="#0b62a8", caution="#f0e442", caution_ink="#000000", warning="#1b2126", warning_ink="#f7ee7a",
    axis="#56616a",
)  # fmt: skip

DARK = Theme(
    name="dark",
    paper="#15191c", card="#1d2226", edge="#3a4349", ink="#f1efe8", quiet="#b4bcc1", faint="#98a2a9",
    temperature="#f2a06a", pressure="#57cdb8", act_back="#24323b",
    plateau="#24425a", plateau_edge="#6fb4e0", offered="#4a4022",
    grid="#2b3237", bar_back="#394147", button="#262d32", button_ink="#f1efe8", due="#f1efe8", due_ink="#15191c",
    focus="#8ecbff", caution="#f0e442", caution_ink="#000000", warning="#000000", warning_ink="#fff36b",
    axis="#b4bcc1",
)  # fmt: skip

HIGH_CONTRAST = Theme(
    name="high contrast",
    paper="#ffffff", card="#ffffff", edge="#000000", ink="#000000", quiet="#1c1c1c", faint="#3a3a3a",
    temperature="#8a3300", pressure="#00473e", act_back="#ffffff",
    plateau="#bcdcf2", plateau_edge="#00406b", offered="#ffe680",
    grid="#d0d0d0", bar_back="#c4c4c4", button="#ffffff", button_ink="#000000", due="#000000", due_ink="#ffffff",
    focus="#0000c8", caution="#ffee00", caution_ink="#000000", warning="#000000", warning_ink="#ffff00",
    axis="#000000", outline=2.0,
)  # fmt: skip

THEMES = {theme.name: theme for theme in (LIGHT, DARK, HIGH_CONTRAST)}

TEXT, MARK = 4.5, 3.0  # least contrast of text and of marks: WCAG 2.1, success criteria 1.4.3 and 1.4.11

#: (foreground, background, least contrast) of everything that must be told apart.
PAIRS: tuple[tuple[str, str, float], ...] = (
    *((name, back, TEXT) for name in ("ink", "quiet", "faint") for back in ("paper", "card", "act_back")),
    *(("ink", back, TEXT) for back in ("plateau", "offered")),
    *(("quiet", back, TEXT) for back in ("plateau", "offered")),
    *((name, back, TEXT) for name in ("temperature", "pressure") for back in ("paper", "card")),
    *((name, back, MARK) for name in ("temperature", "pressure") for back in ("plateau", "offered", "bar_back")),
    ("plateau_edge", "paper", MARK),
    ("plateau_edge", "plateau", MARK),
    ("axis", "paper", TEXT),
    ("button_ink", "button", TEXT),
    ("due_ink", "due", TEXT),
    ("due", "paper", MARK),
    ("focus", "card", MARK),
    ("focus", "paper", MARK),
    ("caution_ink", "caution", TEXT),
    ("warning_ink", "warning", TEXT),
    ("ink", "bar_back", MARK),
)


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb`, 0 to 1 (WCAG 2.1, definition of relative luminance)."""
    parts = []
    for start in (1, 3, 5):
        part = int(colour[start : start + 2], 16) / 255
        parts.append(part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4)
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.1, definition of contrast ratio)."""
    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)
