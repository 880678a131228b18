"""German for the page of a method study; see `acquire.report.language`."""

from __future__ import annotations

STUDY_DE = {
    "span": "Spanne",
    "wait": "Wartezeit",
    "point taken": "Punkt genommen",
    "return point": "Rückkehrpunkt",
    "sensors": "Sensoren",
    "physics": "Physik",
    "mishaps": "Pannen",
    "mishap": "Panne",
    "the cell leaks": "die Zelle ist undicht",
    "the stopper lifts once": "der Stopfen hebt sich einmal",
    "air goes in with the liquid": "Luft kommt mit der Flüssigkeit hinein",
    "the plunger is not drawn back": "der Kolben wird nicht zurückgezogen",
    "the cell is closed too early": "die Zelle wird zu früh geschlossen",
    "too little liquid": "zu wenig Flüssigkeit",
    "the bath is not stirred": "das Bad wird nicht gerührt",
    "the sensors are swapped": "die Sensoren sind vertauscht",
    "plain": "einfach",
    "slow vapour": "langsamer Dampf",
    "wall lag": "träge Wand",
    "wandering": "wandernde Sensoren",
    "cold neck": "kalter Hals",
    "slow lags": "lange Nachläufe",
    "everything": "alles zusammen",
    "when settled": "wenn ruhig",
    "as waited": "nach Wartezeit",
    "with": "mit",
    "without": "ohne",
    "as stated": "wie angegeben",
    "{0} times": "{0}-mal so oft",
    "{0} simulated runs with {1}, {2} for each of {3} combinations": (
        "{0} simulierte Läufe mit {1}, {2} für jede von {3} Kombinationen"
    ),
    "What each choice gains": "Was jede Wahl bringt",
    "Nothing was varied: give lists of two and more choices.": (
        "Nichts wurde verändert: Geben Sie Listen mit zwei und mehr Möglichkeiten an."
    ),
    "choice": "Wahl",
    "error, beside the first": "Fehler gegen die erste",
    "all runs": "alle Läufe",
    "sound runs": "Läufe ohne Panne",
    "stated u": "angegebene u",
    "95 % interval covers": "95\u2011%\u2011Intervall trifft",
    "time of a run": "Dauer eines Laufs",
    "Each choice beside the first of its kind, everything else averaged over; sound runs are those to which nothing "
    "happened.": (
        "Jede Wahl neben der ersten ihrer Art, über alles andere gemittelt; Läufe ohne Panne sind die, in denen nichts "
        "geschah."
    ),
    "change of the error beside the first choice / %": "Änderung des Fehlers gegen die erste Wahl / %",
    "Change of the error with each choice beside the first of its kind": (
        "Änderung des Fehlers mit jeder Wahl gegen die erste ihrer Art"
    ),
    "To the left is better: the error of a run with this choice beside the first of its kind.": (
        "Links ist besser: der Fehler eines Laufs mit dieser Wahl gegen die erste ihrer Art."
    ),
    "interval covers": "Intervall trifft",
    "noticed": "bemerkt",
    "All combinations together. Noticed: the fit refuses, or calls the result doubtful; of runs without a mishap "
    "these are false alarms. What a run notices from its traces while it goes on comes on top.": (
        "Alle Kombinationen zusammen. Bemerkt: Die Anpassung wird verweigert, oder das Ergebnis heißt zweifelhaft; bei "
        "Läufen ohne Panne sind das Fehlalarme. Dazu kommt, was ein Lauf unterwegs an seinen Verläufen bemerkt."
    ),
    "What goes wrong, and whether it is noticed": "Was schiefgeht, und ob es bemerkt wird",
    "time of a run / min": "Dauer eines Laufs / min",
    "rms error": "mittlerer Fehler",
    "rms error / (kJ/mol)": "mittlerer Fehler / (kJ/mol)",
    "bias": "Abweichung",
    "Error of a run against the time it takes, one mark for each combination": (
        "Fehler eines Laufs über seiner Dauer, ein Zeichen für jede Kombination"
    ),
    "One mark for each combination; lower and further left is better.": (
        "Ein Zeichen für jede Kombination; weiter unten und weiter links ist besser."
    ),
    "Error against time": "Fehler und Dauer",
    "covers": "trifft",
    "refused": "verweigert",
    "textbook rms": "Lehrbuch\u2011Fehler",
    "leaks found": "Lecks gefunden",
    "The same in all of them: {0}.": "In allen gleich: {0}.",
    "Every combination, best first": "Jede Kombination, die beste zuerst",
    "Each run is simulated second by second with its own lags, drifts and sensor errors, read as the sensors of the "
    "combination would read it, and fitted with the uncertainties that belong to those sensors.": (
        "Jeder Lauf wird Sekunde für Sekunde mit eigenen Nachläufen, Driften und Fehlern der Sensoren simuliert, "
        "abgelesen, wie die Sensoren der Kombination ihn ablesen würden, und mit den Unsicherheiten ausgewertet, die "
        "zu diesen Sensoren gehören."
    ),
    "A point taken as waited stands a fixed time after the hot water without correction for lag; one taken as settled "
    "when the settling judge offers it, at the latest after the wait, and is corrected.": (
        "Ein nach Wartezeit genommener Punkt steht eine feste Zeit nach dem heißen Wasser, ohne Berichtigung des "
        "Nachlaufs; ein wenn ruhig genommener, wenn das Programm ihn anbietet, spätestens nach der Wartezeit, und er "
        "wird berichtigt."
    ),
    "All combinations use the same benches.": "Alle Kombinationen haben die gleichen Plätze.",
    "A coverage is known to ±{0} % (one standard deviation).": (
        "Wie oft ein Intervall trifft, ist auf ±{0} % bekannt (eine Standardabweichung)."
    ),
    "Mishaps as stated: {0}.": "Pannen wie angegeben: {0}.",
    "These are limits for a bench that behaves like the simulated ones, not a promise for a real flask.": (
        "Das sind Grenzen für einen Platz, der sich wie die simulierten verhält, keine Zusage für einen echten Kolben."
    ),
    "How it was done": "Wie es gemacht wurde",
}
