"""Themes and sizes as a Qt style sheet; a pure function of theme and scale."""

from __future__ import annotations

from acquire.window.themes import Theme

#: Text roles: (pixel size at scale 1, weight).  The picture is planned at 1280 × 800; `scale` does the rest.
ROLES: dict[str, tuple[float, int]] = {
    "title": (19, 700),
    "facts": (12, 400),
    "step": (13, 400),
    "step current": (17, 700),
    "act heading": (13, 400),
    "act text": (25, 700),
    "act text large": (31, 700),  # where the panel has room for it: the next act is what is read from afar
    "act text largest": (38, 700),
    "act detail": (13.5, 400),
    "readout name": (15, 400),
    "state": (26, 700),
    "card heading": (13.5, 700),
    "card tag": (11.5, 400),
    "card value": (14, 600),
    "card small": (12.5, 400),
    "panel heading": (15, 700),
    "result": (29, 700),
    "basis": (13, 400),
    "row": (13, 400),
    "caution heading": (17, 700),
    "caution text": (13, 400),
    "caution large": (15.5, 500),
    "status": (12.5, 400),
    "status strong": (12.5, 700),
    "said": (14, 600),
    "big step": (26, 700),
    "big detail": (22, 400),
    "page title": (28, 700),
    "body": (15, 400),
    "check": (15, 400),
}


LEAST_TEXT = 9  # [px] smaller letters are not letters


def px(size: float, scale: float) -> int:
    """Letter size."""
    return max(LEAST_TEXT, round(size * scale))


def gap(size: float, scale: float) -> int:
    """Room around something."""
    return round(size * scale)


def style_sheet(theme: Theme, scale: float) -> str:
    """The whole style sheet of a window."""
    t = theme
    outline = round(t.outline)
    # What is switched on is seen in every theme, also where all surfaces are of one colour.
    chosen, chosen_ink = (t.due, t.due_ink) if t.act_back == t.card else (t.act_back, t.ink)
    roles = "\n".join(
        f'QLabel[role="{role}"] {{ font-size: {px(size, scale)}px; font-weight: {weight}; }}'
        for role, (size, weight) in ROLES.items()
    )
    return f"""
QWidget {{ color: {t.ink}; background: transparent; font-size: {px(13.5, scale)}px; }}
QMainWindow, QDialog, QWidget[role="window"] {{ background: {t.paper}; }}
QLabel, QFrame[role="bare"] {{ background: transparent; border: none; }}
QFrame[role="panel"] {{ background: {t.card}; border: {outline}px solid {t.edge}; border-radius: 8px; }}
QFrame[role="act"] {{ background: {t.act_back}; border: {outline}px solid {t.edge}; border-radius: 8px; }}
QFrame[role="card"] {{ background: {t.card}; border: {outline}px solid {t.edge}; border-radius: 8px; }}
QFrame[role="card"]:focus, QFrame[role="card selected"] {{
  background: {t.card}; border: 3px solid {t.focus}; border-radius: 8px; }}
QFrame[role="card aside"] {{ background: {t.paper}; border: {outline}px dotted {t.quiet}; border-radius: 8px; }}
QFrame[role="card forming"] {{ background: {t.card}; border: 2px dashed {t.quiet}; border-radius: 8px; }}
QFrame[role="card offered"] {{ background: {t.offered}; border: 3px solid {t.ink}; border-radius: 8px; }}
QFrame[role="caution"] {{ background: {t.caution}; border: 2px solid {t.caution_ink}; border-radius: 8px; }}
QFrame[role="caution"] QLabel {{ color: {t.caution_ink}; }}
QFrame[role="warning"] {{ background: {t.warning}; border: 4px solid {t.caution}; border-radius: 8px; }}
QFrame[role="warning"] QLabel {{ color: {t.warning_ink}; }}
{roles}
QLabel[tone="quiet"] {{ color: {t.quiet}; }}
QLabel[tone="faint"] {{ color: {t.faint}; }}
QLabel[tone="temperature"] {{ color: {t.temperature}; }}
QLabel[tone="pressure"] {{ color: {t.pressure}; }}
QLabel[tone="trouble"] {{ color: {t.caution_ink}; background: {t.caution}; padding: 2px 8px; border-radius: 4px; }}
QPushButton {{ color: {t.button_ink}; background: {t.button}; border: 2px solid {t.ink}; border-radius: 7px;
  padding: {gap(9, scale)}px {gap(12, scale)}px; font-size: {px(14.5, scale)}px; }}
QPushButton[role="act"] {{ padding: {gap(13, scale)}px {gap(12, scale)}px; }}
QPushButton:hover {{ background: {t.act_back}; }}
QPushButton:focus {{ border: 3px solid {t.focus}; outline: none; }}
QPushButton:disabled {{ color: {t.faint}; border: 2px solid {t.bar_back}; }}
QPushButton[due="true"] {{ color: {t.due_ink}; background: {t.due}; font-weight: 700; }}
QPushButton[due="true"]:disabled {{ color: {t.faint}; background: {t.button}; }}
QPushButton[role="field"] {{ border: 1px solid {t.quiet}; border-radius: 5px; background: {t.card}; text-align: left;
  padding: {gap(6, scale)}px {gap(10, scale)}px; font-size: {px(14, scale)}px; }}
QPushButton[role="field"]:focus {{ border: 2px solid {t.focus}; }}
QPushButton[role="small"] {{ border: 1px solid {t.edge}; border-radius: 5px;
  padding: {gap(3, scale)}px {gap(7, scale)}px; font-size: {px(12, scale)}px; color: {t.ink}; background: {t.card}; }}
QPushButton[role="small"]:checked {{ color: {chosen_ink}; background: {chosen}; border: 1px solid {t.ink}; }}
QPushButton[role="small"]:focus {{ border: 2px solid {t.focus}; }}
QLineEdit, QDoubleSpinBox, QComboBox, QPlainTextEdit, QListWidget {{ background: {t.card}; color: {t.ink};
  border: 1px solid {t.quiet}; border-radius: 5px; padding: {gap(5, scale)}px; font-size: {px(14, scale)}px;
  selection-background-color: {t.focus}; selection-color: {t.card}; }}
QLineEdit:focus, QDoubleSpinBox:focus, QComboBox:focus, QPlainTextEdit:focus, QListWidget:focus {{
  border: 2px solid {t.focus}; }}
QComboBox QAbstractItemView {{ background: {t.card}; color: {t.ink}; selection-background-color: {t.focus};
  selection-color: {t.card}; border: 1px solid {t.quiet}; }}
QComboBox:disabled, QLineEdit:disabled {{ color: {t.faint}; border: 1px solid {t.bar_back}; }}
QListWidget {{ font-size: {px(15, scale)}px; outline: none; }}
QListWidget::item {{ padding: {gap(7, scale)}px {gap(8, scale)}px; color: {t.ink}; border-radius: 4px; }}
QListWidget::item:selected {{ background: {t.due}; color: {t.due_ink}; }}
QMenuBar {{ background: {t.paper}; color: {t.ink}; font-size: {px(13, scale)}px; }}
QMenuBar::item {{ background: transparent; padding: {gap(3, scale)}px {gap(9, scale)}px; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {t.focus}; color: {t.card}; }}
QMenu {{ background: {t.card}; color: {t.ink}; border: 1px solid {t.quiet}; font-size: {px(13.5, scale)}px; }}
QMenu::item {{ padding: {gap(5, scale)}px {gap(24, scale)}px; }}
QMenu::item:disabled {{ color: {t.faint}; }}
QMenu::separator {{ height: 1px; background: {t.edge}; margin: 4px 8px; }}
QScrollArea {{ border: none; background: transparent; }}
QScrollBar:horizontal {{ background: {t.paper}; height: 7px; }}
QScrollBar:vertical {{ background: {t.paper}; width: 9px; }}
QScrollBar::handle {{ background: {t.faint}; border-radius: 3px; min-width: 30px; min-height: 30px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QSlider::groove:horizontal {{ background: {t.bar_back}; height: 6px; border-radius: 3px; }}
QSlider::handle:horizontal {{ background: {t.ink}; width: 16px; margin: -6px 0; border-radius: 8px; }}
QSlider:focus {{ border: 1px solid {t.focus}; }}
QToolTip {{ background: {t.card}; color: {t.ink}; border: 1px solid {t.quiet}; }}
"""
