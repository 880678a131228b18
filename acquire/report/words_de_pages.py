"""German words of the templates."""

from __future__ import annotations

PAGES_DE: dict[str, str] = {
    "none": "keine",
    "Point": "Punkt",
    "Taken by": "Genommen von",
    "Temperature": "Temperatur",
    "Pressure": "Druck",
    "What": "Was",
    "No result": "Kein Ergebnis",
    "{0} runs compared": "{0} Läufe verglichen",
    "All of these runs were made on a simulated bench.": "Alle diese Läufe entstanden an einem simulierten Messplatz.",
    "Some of these runs were made on a simulated bench: {0} of {1}.": (
        "Einige dieser Läufe entstanden an einem simulierten Messplatz: {0} von {1}."
    ),
    "Results": "Ergebnisse",
    "Run": "Lauf",
    "Result at 25&nbsp;°C": "Ergebnis bei 25&nbsp;°C",
    "95&nbsp;% interval": "95\u2011%\u2011Intervall",
    "Reference": "Referenzwert",
    "Textbook line": "Lehrbuchgerade",
    "Points in use": "Verwendete Punkte",
    "Saturation lines": "Dampfdruckkurven",
    "Each run has its own colour, line and mark. Open marks were taken after cooling. The shaded bands are "
    "95&nbsp;% bands; runs whose bands meet need not disagree.": (
        "Jeder Lauf hat seine eigene Farbe, Linie und Marke. Offene Marken wurden nach dem Abkühlen genommen. Die "
        "getönten Flächen sind 95\u2011%\u2011Bänder; Läufe, deren Bänder sich treffen, müssen einander nicht "
        "widersprechen."
    ),
    "Traces from the charge on": "Messkurven ab der Füllung",
    "Every clock is set to zero when the liquid went in.": "Jede Uhr steht auf null, als die Flüssigkeit hineinkam.",
    "Warming against cooling": "Erwärmen gegen Abkühlen",
    "The points of each branch fitted alone. A leak pulls the two apart; a lag that was not corrected moves both "
    "the same way.": (
        "Die Punkte jedes Zweigs für sich angepasst. Ein Leck zieht beide auseinander; ein nicht korrigierter "
        "Nachlauf verschiebt beide in dieselbe Richtung."
    ),
    "While warming": "Beim Erwärmen",
    "While cooling": "Beim Abkühlen",
    "Findings": "Befunde",
    "Runs in the folder “{0}”": "Läufe im Ordner „{0}“",
    "{0} run.": "{0} Lauf.",
    "{0} runs.": "{0} Läufe.",
    "The result is the value at 25&nbsp;°C with half of its 95&nbsp;% interval; the reference is said to be inside "
    "or outside of that interval.": (
        "Das Ergebnis ist der Wert bei 25&nbsp;°C mit der Hälfte seines 95\u2011%\u2011Intervalls; vom Referenzwert "
        "wird gesagt, ob er innerhalb oder außerhalb dieses Intervalls liegt."
    ),
    "Runs": "Läufe",
    "Result": "Ergebnis",
    "Points": "Punkte",
    "Changed afterwards": "Nachträglich geändert",
    "File": "Datei",
    "Could not be read: {0}": "Konnte nicht gelesen werden: {0}",
    "simulated": "simuliert",
    "{0} note": "{0} Hinweis",
    "{0} notes": "{0} Hinweise",
    "nothing": "nichts",
    "Enthalpy of vaporisation, Δ<sub>vap</sub><i>H</i>": "Verdampfungsenthalpie, Δ<sub>vap</sub><i>H</i>",
    "<strong>95&nbsp;% interval {0}</strong>, stated at {1}, from {2} points.": (
        "<strong>95\u2011%\u2011Intervall {0}</strong>, angegeben bei {1}, aus {2} Punkten."
    ),
    "Seen in <a href='#traces'>the traces</a> at mark <strong>{0}{1}</strong>: {2}.": (
        "Zu sehen in <a href='#traces'>den Messkurven</a> an der Marke <strong>{0}{1}</strong>: {2}."
    ),
    "None of the tests on these points found anything.": "Keine der Prüfungen dieser Punkte hat etwas gefunden.",
    "There is no fit, so its tests could not be made.": (
        "Es gibt keine Anpassung, also konnten ihre Prüfungen nicht gemacht werden."
    ),
    "Each value has the digits that its standard uncertainty <i>u</i> leaves it; <i>u</i> of temperature and "
    "pressure is that of the mean in the window, without what all points have in common. Points struck through are "
    "set aside and not in the fit.": (
        "Jeder Wert hat die Stellen, die seine Standardunsicherheit <i>u</i> ihm lässt; <i>u</i> von Temperatur und "
        "Druck ist die des Mittels im Fenster, ohne das, was allen Punkten gemeinsam ist. Durchgestrichene Punkte "
        "sind verworfen und nicht in der Anpassung."
    ),
    "Air": "Luft",
    "Vapour": "Dampf",
    "Residual": "Abweichung",
    "Remark": "Bemerkung",
    "Share of the variance, and the standard uncertainty that each source alone would give.": (
        "Anteil an der Varianz, und die Standardunsicherheit, die jede Quelle allein ergäbe."
    ),
    "Source": "Quelle",
    "Share": "Anteil",
    "Alone": "Allein",
    "The straight line through ln <i>p</i> over 1/<i>T</i> of the same points gives <strong>{0}</strong> "
    "(k&nbsp;=&nbsp;1), 95&nbsp;% interval {1}. {2}": (
        "Die Gerade durch ln&nbsp;<i>p</i> über 1/<i>T</i> derselben Punkte ergibt <strong>{0}</strong> "
        "(k&nbsp;=&nbsp;1), 95\u2011%\u2011Intervall {1}. {2}"
    ),
    "Made from a table of points. satline did not see how they were measured.": (
        "Aus einer Tabelle von Punkten gemacht. satline hat nicht gesehen, wie sie gemessen wurden."
    ),
    "What these points cannot show": "Was diese Punkte nicht zeigen können",
    "Method": "Verfahren",
    "What the simulated bench really had": "Was der simulierte Messplatz wirklich hatte",
    "The run": "Der Lauf",
    "Pale blue: the window of readings that each numbered point is the mean of. Dotted lines: what was done to the "
    "cell and the bath.": (
        "Blassblau: das Fenster von Messwerten, deren Mittel jeder nummerierte Punkt ist. Gepunktete Linien: was "
        "mit der Zelle und dem Bad getan wurde."
    ),
    "Each plateau up close": "Jedes Plateau aus der Nähe",
    "Both traces about their point, at one scale: pressure (green) is shown in the kelvins that would change it as "
    "much, temperature (brown) in kelvins.": (
        "Beide Messkurven um ihren Punkt, in einem Maßstab: der Druck (grün) in den Kelvin, die ihn ebenso weit "
        "ändern würden, die Temperatur (braun) in Kelvin."
    ),
    "How the points were taken": "Wie die Punkte genommen wurden",
    "Lag: what the probe read above the liquid, already taken off the temperatures. Drift: of the bath, in the "
    "window.": (
        "Nachlauf: was der Fühler über der Flüssigkeit anzeigte, von den Temperaturen schon abgezogen. Drift: des "
        "Bades, im Fenster."
    ),
    "While": "Während",
    "Window": "Fenster",
    "min:s": "min:s",
    "Length": "Länge",
    "Readings": "Messwerte",
    "Drift": "Drift",
    "Lag": "Nachlauf",
    "Baselines": "Basislinien",
    "Baseline": "Basislinie",
    "Set-up and inputs": "Aufbau und Angaben",
    "Values with ± carry the standard uncertainty that was entered for them; the interval is only as honest as "
    "these.": (
        "Werte mit ± tragen die Standardunsicherheit, die für sie eingegeben wurde; das Intervall ist nur so "
        "ehrlich wie diese."
    ),
    "What this run cannot show": "Was dieser Lauf nicht zeigen kann",
    "What happened": "Was geschah",
    "Time": "Zeit",
    "Details": "Einzelheiten",
    "Who": "Wer",
    "Cautions": "Warnhinweise",
    "No caution was raised in this run. That says nothing about what the program does not measure.": (
        "In diesem Lauf gab es keinen Warnhinweis. Das sagt nichts über das, was das Programm nicht misst."
    ),
    "Provenance": "Herkunft",
    "Earlier results in this file": "Frühere Ergebnisse in dieser Datei",
    "Nothing is overwritten when a point is changed or the inputs are; the newest result is the one above.": (
        "Nichts wird überschrieben, wenn ein Punkt oder eine Angabe geändert wird; das neueste Ergebnis ist das oben."
    ),
    "Files, devices, versions": "Dateien, Geräte, Versionen",
    "Where the uncertainty comes from": "Woher die Unsicherheit kommt",
    "Standard uncertainty of the value: {0}. The interval is not simply twice that: how well the scatter itself is "
    "known counts too.": (
        "Standardunsicherheit des Werts: {0}. Das Intervall ist nicht einfach das Doppelte: Auch wie gut die "
        "Streuung selbst bekannt ist, zählt."
    ),
    "<strong>To narrow it:</strong> {0}": "<strong>Um es zu verengen:</strong> {0}",
    "Saturation line": "Dampfdruckkurve",
    "Circles were taken while warming, triangles after cooling, crosses are set aside. Below: measured less fitted "
    "pressure of each point; the bars are one standard uncertainty of the reading.": (
        "Kreise wurden beim Erwärmen genommen, Dreiecke nach dem Abkühlen, Kreuze sind verworfen. Darunter: "
        "gemessener weniger angepasster Druck jedes Punkts; die Balken sind eine Standardunsicherheit des Messwerts."
    ),
    "Compared with the reference": "Verglichen mit dem Referenzwert",
    "Reference at 25&nbsp;°C: <strong>{0}</strong> ({1}). {2}": (
        "Referenzwert bei 25&nbsp;°C: <strong>{0}</strong> ({1}). {2}"
    ),
    "No reference value is known for this liquid at 25&nbsp;°C.": (
        "Für diese Flüssigkeit ist bei 25&nbsp;°C kein Referenzwert bekannt."
    ),
    "Where the points lie the value is {0}.": "Dort, wo die Punkte liegen, ist der Wert {0}.",
    "Carried on to {0}&nbsp;kPa, the same curve gives a normal boiling point of {1} (k&nbsp;=&nbsp;1); that is far "
    "outside the points.": (
        "Bis {0}&nbsp;kPa weitergeführt, ergibt dieselbe Kurve einen Normalsiedepunkt von {1} (k&nbsp;=&nbsp;1); "
        "das liegt weit außerhalb der Punkte."
    ),
    "Answers: {0}": "Antworten: {0}",
    "Worksheet: {0}": "Arbeitsblatt: {0}",
    "Answers to the worksheet: {0}": "Antworten zum Arbeitsblatt: {0}",
    "For whoever marks it. Every number starts from the figures printed on the blank sheet; a last digit off by two "
    "is rounding, not a mistake.": (
        "Für alle, die es korrigieren. Jede Zahl geht von den Ziffern aus, die auf dem leeren Blatt stehen; eine "
        "letzte Stelle, die um zwei abweicht, ist gerundet und kein Fehler."
    ),
    "Name": "Name",
    "Date": "Datum",
    "1 The air in the cell": "1 Die Luft in der Zelle",
    "The cell was closed at <i>T</i><sub>0</sub> = {0}&nbsp;K and <i>p</i><sub>0</sub> = {1}&nbsp;kPa, before the "
    "liquid went in.": (
        "Die Zelle wurde bei <i>T</i><sub>0</sub> = {0}&nbsp;K und <i>p</i><sub>0</sub> = {1}&nbsp;kPa geschlossen, "
        "bevor die Flüssigkeit hineinkam."
    ),
    "From then on the air is shut in; the plunger was drawn back, so the liquid does not squeeze it.": (
        "Von da an ist die Luft eingeschlossen; der Kolben wurde zurückgezogen, die Flüssigkeit drückt sie also "
        "nicht zusammen."
    ),
    "From then on the air is shut in and the liquid squeezes it by the factor <i>f</i> = {0}.": (
        "Von da an ist die Luft eingeschlossen, und die Flüssigkeit drückt sie um den Faktor <i>f</i> = {0} zusammen."
    ),
    "Work out for each point": "Berechnen Sie für jeden Punkt",
    "air": "Luft",
    "vap": "Dampf",
    "Points to work out": "Zu berechnende Punkte",
    "2 The line": "2 Die Gerade",
    "Draw ln(<i>p</i><sub>vap</sub>/kPa) over 1000&nbsp;K/<i>T</i> and the best straight line through the points.": (
        "Tragen Sie ln(<i>p</i><sub>Dampf</sub>/kPa) über 1000&nbsp;K/<i>T</i> auf und die beste Gerade durch die "
        "Punkte."
    ),
    "3 The enthalpy of vaporisation": "3 Die Verdampfungsenthalpie",
    "slope": "Steigung",
    "With 1000&nbsp;K/<i>T</i> across, the slope times <i>R</i> = {0}&nbsp;J/(mol&nbsp;K) comes out in kJ/mol.": (
        "Mit 1000&nbsp;K/<i>T</i> nach rechts ergibt die Steigung mal <i>R</i> = {0}&nbsp;J/(mol&nbsp;K) kJ/mol."
    ),
    "4 How sure is it?": "4 Wie sicher ist das?",
    "With <i>n</i> = {0} points, the standard uncertainty of the slope from the scatter about the line, and "
    "Student's <i>t</i> for 95&nbsp;% and <i>n</i> − 2 = {1} degrees of freedom:": (
        "Mit <i>n</i> = {0} Punkten, der Standardunsicherheit der Steigung aus der Streuung um die Gerade und "
        "Students <i>t</i> für 95&nbsp;% und <i>n</i> − 2 = {1} Freiheitsgrade:"
    ),
    "5 Questions": "5 Fragen",
    "What the program gives": "Was das Programm angibt",
    "<strong>{0}</strong>, 95&nbsp;% interval {1}, stated at {2}. {3}": (
        "<strong>{0}</strong>, 95\u2011%\u2011Intervall {1}, angegeben bei {2}. {3}"
    ),
}
