"""Style of what only the review windows have: tabs and tables; added to the common style sheet."""

from __future__ import annotations

from acquire.window.style_sheet import gap, px, style_sheet
from acquire.window.themes import Theme


def review_style(theme: Theme, scale: float) -> str:
    """The style sheet of a review window."""
    t = theme
    return (
        style_sheet(theme, scale)
        + f"""
QTabWidget::pane {{ background: {t.card}; border: 1px solid {t.edge}; border-radius: 6px; }}
QTabWidget > QWidget {{ background: {t.card}; }}
QTabBar::tab {{ background: {t.paper}; color: {t.ink}; border: 1px solid {t.edge}; border-bottom: none;
  padding: {gap(5, scale)}px {gap(7, scale)}px; margin-right: 2px; border-top-left-radius: 5px;
  border-top-right-radius: 5px; font-size: {px(12, scale)}px; }}
QTabBar::tab:selected {{ background: {t.card}; border-bottom: 2px solid {t.focus}; }}
QTabBar::tab:focus {{ color: {t.focus}; }}
QTableWidget {{ background: {t.card}; alternate-background-color: {t.paper}; color: {t.ink}; border: none;
  gridline-color: {t.grid}; font-size: {px(12.5, scale)}px; selection-background-color: {t.plateau};
  selection-color: {t.ink}; }}
QTableWidget::item {{ padding: {gap(3, scale)}px; }}
QHeaderView {{ background: {t.card}; }}
QHeaderView::section {{ background: {t.card}; color: {t.quiet}; border: none; border-bottom: 1px solid {t.edge};
  padding: {gap(4, scale)}px; font-size: {px(12, scale)}px; }}
QTableCornerButton::section {{ background: {t.card}; border: none; }}
QSplitter::handle {{ background: {t.paper}; width: 6px; }}
"""
    )
