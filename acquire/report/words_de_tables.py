"""German for what is wrong in tables of points, plans and profiles; see `acquire.report.language`."""

from __future__ import annotations

TABLES_DE = {
    # tables of points
    "the file has {count} bytes": "die Datei hat {count} Bytes",
    "a table of at most {count}": "eine Tabelle mit höchstens {count}",
    "bytes that are not UTF-8 text": "Bytes, die kein Text in UTF-8 sind",
    "a CSV table of points": "eine CSV-Tabelle von Punkten",
    "a line of {count} characters": "eine Zeile mit {count} Zeichen",
    "at most {count}": "höchstens {count}",
    "no line with text": "keine Zeile mit Text",
    "a header such as {example}": "eine Kopfzeile wie {example}",
    "no column {column} and no {second}": "keine Spalte {column} und keine {second}",
    "no column {column}": "keine Spalte {column}",
    "all of: {example}": "alle von: {example}",
    "{count} rows": "Zeilen: {count}",
    "the column {column} (did you mean {near}?)": "die Spalte {column} (meinten Sie {near}?)",
    "the column {column} twice": "die Spalte {column} zweimal",
    "each column once": "jede Spalte einmal",
    "the column {column} without a unit": "die Spalte {column} ohne Einheit",
    "the column {column}": "die Spalte {column}",
    "the unit {unit} of {column} (did you mean {near}?)": "die Einheit {unit} von {column} (meinten Sie {near}?)",
    "the unit {unit} of {column}": "die Einheit {unit} von {column}",
    "{unit}, a unit of {other}, for {column}": "{unit}, eine Einheit für {other}, bei {column}",
    "a unit of {quantity}": "eine Einheit für {quantity}",
    "{count} cells": "Zellen: {count}",
    "{count}, as in the header": "{count} wie in der Kopfzeile",
    "{cell} as {name}": "{cell} als {name}",
    "a plain number such as 21.84": "eine einfache Zahl wie 21",
    "the branch {cell}": "der Zweig {cell}",
    # plans and device profiles
    "more than {count} bytes": "mehr als {count} Bytes",
    "a file that a person wrote": "eine Datei, wie Menschen sie schreiben",
    "a text in UTF-8": "ein Text in UTF-8",
    "a readable TOML file": "eine lesbare TOML-Datei",
    "brackets within brackets without end": "Klammern in Klammern ohne Ende",
    "a few levels at most": "höchstens ein paar Ebenen",
    "valid TOML ({reason})": "gültiges TOML (wörtlich: „{reason}“)",
    'text needs quotes: key = "text"': 'Text braucht Anführungszeichen: Schlüssel = "Text"',
    "did you mean {near}?": "meinten Sie {near}?",
    "nothing": "nichts",
    "unknown key {given}": "unbekannter Schlüssel {given}",
    "a table": "eine Tabelle",
    "an empty table": "eine leere Tabelle",
    "a list of {count}": "eine Liste von {count}",
    "a text in quotes": "ein Text in Anführungszeichen",
    "true or false": "true oder false",
    "a whole number": "eine ganze Zahl",
    "a number": "eine Zahl",
    "a finite number": "eine endliche Zahl",
    "this key, which is required": "dieser Schlüssel, der nicht fehlen darf",
    "a list": "eine Liste",
    "a text of at most {count} characters": "ein Text mit höchstens {count} Zeichen",
    "one of {names}": "eines von {names}",
    "kind to be one of {names}": "für kind eines von {names}",
    "the key 'kind'": "der Schlüssel 'kind'",
    "a value {limit}": "ein Wert {limit}",
    "at least {count} entries": "mindestens {count} Einträge",
    "at most {count} entries": "höchstens {count} Einträge",
    "{value} has no unit": "{value} hat keine Einheit",
    "a {quantity} as text with its unit, for example {example}": (
        "{quantity} als Text mit Einheit, zum Beispiel {example}"
    ),
    "{value} is a {other}": "{value} steht für {other}",
    'a temperature difference, for example "0.3 K"': 'ein Temperaturunterschied, zum Beispiel "0,3 K"',
    'a share, for example 0.45 or "45 %"': 'ein Anteil, zum Beispiel "45 %"',
    "a share from 0 to 1 (0 % to 100 %)": "ein Anteil von 0 bis 1 (0 % bis 100 %)",
    "a {quantity}": "{quantity}",
    "unknown unit {unit}; did you mean {near}?": "unbekannte Einheit {unit}; meinten Sie {near}?",
    "unknown unit {unit}": "unbekannte Einheit {unit}",
    "a number and a unit, for example '101.3 kPa' or '21.5 degC'": (
        "eine Zahl mit Einheit, zum Beispiel '101,3 kPa' oder '21,5 degC'"
    ),
    "for example '101.3 kPa' or '21.5 degC'": "zum Beispiel '101,3 kPa' oder '21,5 degC'",
    "targets that rise from step to step": "Ziele, die von Stufe zu Stufe steigen",
    "a plateau": "ein Plateau",
    "give targets, or first_as_found = true": "nennen Sie targets, oder first_as_found = true",
    "least to hold {count} falling shares, one for each name but the last": (
        "in least {count} fallende Anteile, einer für jeden Namen außer dem letzten"
    ),
    "found {count}": "gefunden: {count}",
    "at least one of points, mishaps, result, waiting with a weight above 0": (
        "mindestens eines von points, mishaps, result, waiting mit einem Gewicht über 0"
    ),
    "patience above 0 s": "patience über 0 s",
    "targets up to the limit of {limit} degC": "Ziele bis zur Grenze von {limit} degC",
    "lower {value} degC, or raise limits.temperature where your local rules allow it": (
        "senken Sie {value} degC, oder erhöhen Sie limits.temperature, wo Ihre örtlichen Regeln es erlauben"
    ),
    # without a file of its own
    "run plan": "Laufplan",
    "settings": "Einstellungen",
    # quantities
    "temperature": "Temperatur",
    "temperature difference": "Temperaturunterschied",
    "pressure": "Druck",
    "volume": "Volumen",
    "time": "Zeit",
    "fraction": "Anteil",
    # frames
    "unknown unit {unit}; expected one of {names}; did you mean {near}?": (
        "unbekannte Einheit {unit}; erwartet wird eine von {names}; meinten Sie {near}?"
    ),
    "unknown unit {unit}; expected one of {names}": "unbekannte Einheit {unit}; erwartet wird eine von {names}",
    "{path}:{line}: {key}: found {found}; expected {expected}; {hint}": (
        "{path}:{line}: {key}: gefunden: {found}; erwartet: {expected}; {hint}"
    ),
    "{path}:{line}: {key}: found {found}; expected {expected}": (
        "{path}:{line}: {key}: gefunden: {found}; erwartet: {expected}"
    ),
    "{path}:{line}: found {found}; expected {expected}; {hint}": (
        "{path}:{line}: gefunden: {found}; erwartet: {expected}; {hint}"
    ),
    "{path}:{line}: found {found}; expected {expected}": "{path}:{line}: gefunden: {found}; erwartet: {expected}",
    "Row {row}: {found}; expected {expected}": "Zeile {row}: gefunden: {found}; erwartet: {expected}",
    "{path}:{line}: {found}; expected {expected}": "{path}:{line}: gefunden: {found}; erwartet: {expected}",
    "{path}: found {found}; expected {expected}": "{path}: gefunden: {found}; erwartet: {expected}",
}
