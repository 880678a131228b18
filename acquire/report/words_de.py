"""German words of results, figures, worksheet and comparison."""

from __future__ import annotations

DE: dict[str, str] = {
    "points entered by hand": "von Hand eingegebene Punkte",
    "cell pressure / kPa": "Zelldruck / kPa",
    "bath / °C": "Bad / °C",
    "time since the charge / min": "Zeit seit der Füllung / min",
    "ln(p / kPa) of the vapour": "ln(p / kPa) des Dampfes",
    "residual / Pa": "Abweichung / Pa",
    "Pressure and bath temperature of {0} runs over each other, with the charge at time zero.": (
        "Druck und Badtemperatur von {0} Läufen übereinander, mit der Füllung als Zeit null."
    ),
    "Saturation lines of {0} runs with their 95 % bands, and the residuals of their points.": (
        "Dampfdruckkurven von {0} Läufen mit ihren 95\u2011%\u2011Bändern und den Abweichungen ihrer Punkte."
    ),
    "satline controls nothing and is not a safety device. It knows what its sensors read; it does not know the "
    "rating of your glass, the state of the stopper or what else is in the room.": (
        "satline steuert nichts und ist keine Sicherheitseinrichtung. Es weiß, was seine Sensoren anzeigen; es weiß "
        "nicht, wofür Ihr Glas ausgelegt ist, in welchem Zustand der Stopfen ist und was sonst noch im Raum steht."
    ),
    "Local rules, the safety data sheet of the liquid and the person in charge decide what may be done. Eye "
    "protection on, no flames or sparks near a flammable liquid, glass without cracks, a way for the pressure to go.": (
        "Die örtlichen Regeln, das Sicherheitsdatenblatt der Flüssigkeit und die verantwortliche Person "
        "entscheiden, was getan werden darf. Schutzbrille auf, keine Flammen oder Funken neben einer brennbaren "
        "Flüssigkeit, Glas ohne Risse, ein Weg, auf dem der Druck entweichen kann."
    ),
    "No interval": "Kein Intervall",
    "Doubt": "Zweifel",
    "points {0}, {1}": "Punkte {0}, {1}",
    "leak": "Leck",
    "stopper lifts": "Stopfen hebt sich",
    "air with charge": "Luft mit der Füllung",
    "plunger left in": "Kolben nicht zurückgezogen",
    "valve left open": "Ventil offen gelassen",
    "cell not soaked": "Zelle nicht angeglichen",
    "small charge": "kleine Füllung",
    "wet liquid": "feuchte Flüssigkeit",
    "impure liquid": "unreine Flüssigkeit",
    "cell lifted": "Zelle herausgehoben",
    "probe out": "Fühler aus dem Bad",
    "probe in inflow": "Fühler im Zulauf",
    "bath overheated": "Bad überhitzt",
    "stirrer stops": "Rührer steht",
    "cable pulled": "Kabel gezogen",
    "device restarts": "Gerät startet neu",
    "power cut": "Stromausfall",
    "noisy line": "gestörte Leitung",
    "coarse sensor": "grober Sensor",
    "stuck sensor": "hängender Sensor",
    "sensors swapped": "Sensoren vertauscht",
    "wrong unit": "falsche Einheit",
    "point {0}, {1}": "Punkt {0}, {1}",
    "This run was made on a simulated bench. No real liquid was measured.": (
        "Dieser Lauf entstand an einem simulierten Messplatz. Keine wirkliche Flüssigkeit wurde gemessen."
    ),
    "This run was not closed when this page was made: it is still being recorded, or it was cut off. satline verify "
    "tells which; what stands here may change.": (
        "Dieser Lauf war nicht abgeschlossen, als diese Seite entstand: Er wird noch aufgezeichnet, oder er wurde "
        "abgeschnitten. satline verify sagt, welches von beiden; was hier steht, kann sich ändern."
    ),
    "This run was not closed: it ended before it was finished. Everything recorded until then is here.": (
        "Dieser Lauf wurde nicht abgeschlossen: Er endete, bevor er fertig war. Alles, was bis dahin aufgezeichnet "
        "wurde, steht hier."
    ),
    "Scenario": "Szenario",
    "Saturation data": "Dampfdruckdaten",
    "Mishaps": "Pannen",
    "{0} against a limit of {1}": "{0} gegen eine Grenze von {1}",
    "{0}, inside the interval": "{0}, innerhalb des Intervalls",
    "{0}, outside the interval": "{0}, außerhalb des Intervalls",
    "The readings of {0} came again here and were decided on anew. This is no measurement of its own.": (
        "Die Messwerte von {0} kamen hier noch einmal, und es wurde neu entschieden. Dies ist keine eigene Messung."
    ),
    "{{0}} from {0} point": "{{0}} aus {0} Punkt",
    "{{0}} from {0} points": "{{0}} aus {0} Punkten",
    "a run without fault passes it in {0} of cases": "ein Lauf ohne Fehler überschreitet sie in {0} der Fälle",
    "moves the value by {0} where nothing corrects it": "verschiebt den Wert um {0}, wo nichts es korrigiert",
    "Result {0}": "Ergebnis {0}",
    "Enthalpy of vaporisation at {0}": "Verdampfungsenthalpie bei {0}",
    "{0} of {1}": "{0} von {1}",
    "Intervals on one scale.": "Intervalle auf einer Skala.",
    "95 % intervals / (kJ/mol)": "95\u2011%\u2011Intervalle / (kJ/mol)",
    "{0}: {1}, from {2} to {3} kJ/mol.": "{0}: {1}, von {2} bis {3} kJ/mol.",
    "Close-up of both traces around the windows of the points {0}, as deviations from each point.": (
        "Nahansicht beider Messkurven um die Fenster der Punkte {0}, als Abweichungen von jedem Punkt."
    ),
    "Traces of pressure and bath temperature over {0} minutes, with the windows of {1} points and what was done. "
    "The points and their windows are in the tables below.": (
        "Messkurven von Druck und Badtemperatur über {0} Minuten, mit den Fenstern von {1} Punkten und dem, was "
        "getan wurde. Die Punkte und ihre Fenster stehen in den Tabellen darunter."
    ),
    "Fit of a table of points": "Anpassung an eine Tabelle von Punkten",
    "deviation / K": "Abweichung / K",
    "s from window start": "s ab Beginn des Fensters",
    "{0} point in use": "{0} verwendeter Punkt",
    "{0} points in use": "{0} verwendete Punkte",
    "this table": "diese Tabelle",
    "Its interval comes from the scatter of the points about the line alone. It knows nothing of what moves all "
    "points together: the trapped air, the offsets of both sensors, the lag of a drifting bath. On simulated "
    "benches in a room of 40\u00a0% humidity, intervals made this way and called 95\u00a0% held the true value "
    "about 75 times in 100 for alkanes, and never for alcohols.": (
        "Ihr Intervall kommt allein aus der Streuung der Punkte um die Gerade. Es weiß nichts von dem, was alle "
        "Punkte gemeinsam verschiebt: von der eingeschlossenen Luft, den Nullpunkten beider Sensoren, dem Nachlauf "
        "bei driftendem Bad. An simulierten Messplätzen in einem Raum mit 40\u00a0% Feuchte enthielten so gebildete "
        "Intervalle, die 95\u00a0% heißen, den wahren Wert bei Alkanen in etwa 75 von 100 Fällen, bei Alkoholen nie."
    ),
    "Slope times the gas constant is also not yet an enthalpy: the vapour is not an ideal gas, and the value holds "
    "for the middle of the points, not for 25\u00a0°C.": (
        "Steigung mal Gaskonstante ist außerdem noch keine Enthalpie: Der Dampf ist kein ideales Gas, und der Wert "
        "gilt für die Mitte der Punkte, nicht für 25\u00a0°C."
    ),
    "readings, temperature noise": "Rauschen der Temperatur",
    "readings, pressure noise": "Rauschen des Drucks",
    "The reference lies outside the 95\u00a0% interval.": (
        "Der Referenzwert liegt außerhalb des 95\u2011%\u2011Intervalls."
    ),
    "The result is {0} below it: {1} standard uncertainties.": (
        "Das Ergebnis liegt {0} darunter: {1} Standardunsicherheiten."
    ),
    "The points do not carry a value with an interval.": "Die Punkte tragen keinen Wert mit Intervall.",
    "The reference lies inside the 95\u00a0% interval.": (
        "Der Referenzwert liegt innerhalb des 95\u2011%\u2011Intervalls."
    ),
    "The result is {0} above it: {1} standard uncertainties.": (
        "Das Ergebnis liegt {0} darüber: {1} Standardunsicherheiten."
    ),
    "The textbook line, and what its interval leaves out": (
        "Die Gerade aus dem Lehrbuch, und was ihr Intervall auslässt"
    ),
    "{0} {1} at {2}": "{0} {1} bei {2}",
    "Largest parts of the uncertainty: {0}; {1}.": "Größte Anteile der Unsicherheit: {0}; {1}.",
    "The textbook line, and why its interval is too narrow": (
        "Die Gerade aus dem Lehrbuch, und warum ihr Intervall zu eng ist"
    ),
    "Here the full interval is no wider: the points scatter more than their uncertainties explain.": (
        "Hier ist das volle Intervall nicht breiter: Die Punkte streuen mehr, als ihre Unsicherheiten erklären."
    ),
    "The reference lies outside the textbook interval.": "Der Referenzwert liegt außerhalb des Lehrbuchintervalls.",
    "Nearly all of the uncertainty comes from one source: {0}.": (
        "Fast die ganze Unsicherheit kommt aus einer Quelle: {0}."
    ),
    "textbook line": "Lehrbuchgerade",
    "reference": "Referenzwert",
    "No result was computed in this run.": "In diesem Lauf wurde kein Ergebnis berechnet.",
    "The full interval is {0} times as wide.": "Das volle Intervall ist {0}-mal so breit.",
    "this run": "dieser Lauf",
    "{0} smaller ones together": "{0} kleinere zusammen",
    "temperature / °C": "Temperatur / °C",
    "Saturation line: no point is in use.": "Dampfdruckkurve: kein Punkt wird verwendet.",
    "95 % band": "95\u2011%\u2011Band",
    "fitted curve": "angepasste Kurve",
    "Saturation line: logarithm of the vapour pressure over inverse temperature. {0} points in use from {1} to {2} "
    "°C, vapour pressure from {3} to {4} kPa, with the fitted curve, its 95 % band and the textbook line; largest "
    "residual {5} Pa.": (
        "Dampfdruckkurve: Logarithmus des Dampfdrucks über der inversen Temperatur. {0} verwendete Punkte von {1} "
        "bis {2} °C, Dampfdruck von {3} bis {4} kPa, mit der angepassten Kurve, ihrem 95\u2011%\u2011Band und der "
        "Lehrbuchgeraden; größte Abweichung {5} Pa."
    ),
    "{0} to {1}": "{0} bis {1}",
    "time since start / min": "Zeit seit Beginn / min",
    "limit": "Grenze",
    "no pressure readings": "keine Messwerte des Drucks",
    "no temperature readings": "keine Messwerte der Temperatur",
    "bath temperature / °C": "Badtemperatur / °C",
    "Empty graph for ln(p/kPa) over 1000 K/T": "Leeres Diagramm für ln(p/kPa) über 1000 K/T",
    "Graph of ln(p/kPa) over 1000 K/T with the line": "Diagramm von ln(p/kPa) über 1000 K/T mit der Geraden",
    "In this run the program gives no interval at all; the report says why.": (
        "In diesem Lauf gibt das Programm gar kein Intervall an; der Bericht sagt, warum."
    ),
    "The air in the cell was warmed along with the liquid. By how much would the vapour pressure at the hottest "
    "point be wrong if the air's pressure were taken as constant, and which way would the enthalpy go?": (
        "Die Luft in der Zelle wurde mit der Flüssigkeit erwärmt. Um wie viel wäre der Dampfdruck am heißesten "
        "Punkt falsch, wenn man den Druck der Luft als gleichbleibend ansähe, und wohin ginge die Enthalpie?"
    ),
    "Name two errors that move all points together. Would you see them in the scatter of the points?": (
        "Nennen Sie zwei Fehler, die alle Punkte gemeinsam verschieben. Würden Sie sie an der Streuung der Punkte "
        "erkennen?"
    ),
    "For example moisture in the air shut in, a wrong gas volume, an offset of a sensor. No: the points lie just as "
    "well on a line, and that is why the interval from the scatter is too narrow.": (
        "Zum Beispiel Feuchte in der eingeschlossenen Luft, ein falsches Gasvolumen, ein falscher Nullpunkt eines "
        "Sensors. Nein: Die Punkte liegen ebenso gut auf einer Geraden, und deshalb ist das Intervall aus der "
        "Streuung zu eng."
    ),
    "Compare your interval with the one that the program gives. What does the wider one know that the other does "
    "not?": (
        "Vergleichen Sie Ihr Intervall mit dem, das das Programm angibt. Was weiß das breitere, was das andere "
        "nicht weiß?"
    ),
    "The program's interval is {0}: it counts the trapped air, the offsets of the sensors, the lag and the vapour's "
    "non-ideality too.": (
        "Das Intervall des Programms ist {0}: Es zählt auch die eingeschlossene Luft, die Nullpunkte der Sensoren, "
        "den Nachlauf und die Nichtidealität des Dampfes."
    ),
    "By {0}, too high at the hot end and hardly at the cold end: the line gets too steep and the enthalpy too large.": (
        "Um {0}, am heißen Ende zu hoch und am kalten kaum: Die Gerade wird zu steil und die Enthalpie zu groß."
    ),
    "By hand: {0}. {1}": "Von Hand: {0}. {1}",
    "none: {0}": "keines: {0}",
    "found {0} point in use taken while {{0}}; a fit needs {{1}}.": (
        "gefunden: {0} verwendeter Punkt der Art „{{0}}“; eine Anpassung braucht {{1}}."
    ),
    "found {0} points in use taken while {{0}}; a fit needs {{1}}.": (
        "gefunden: {0} verwendete Punkte der Art „{{0}}“; eine Anpassung braucht {{1}}."
    ),
    "the run was never closed; 'satline verify --repair' makes a closed copy": (
        "der Lauf wurde nie abgeschlossen; 'satline verify --repair' macht eine abgeschlossene Kopie"
    ),
    "the run is still being recorded; edit its points when it has been closed": (
        "der Lauf wird noch aufgezeichnet; seine Punkte lassen sich ändern, wenn er abgeschlossen ist"
    ),
    "point {0} cannot be split there; expected 3 s or more on both sides": (
        "Punkt {0} lässt sich dort nicht teilen; erwartet werden 3 s oder mehr auf beiden Seiten"
    ),
    "deciding again gives another journal from entry {0} on (another version of the program, or altered readings): "
    "'satline verify' and 'satline replay' say more; asking 'what if' still works": (
        "neues Entscheiden ergibt ab Eintrag {0} ein anderes Journal (eine andere Version des Programms oder "
        "veränderte Messwerte): 'satline verify' und 'satline replay' sagen mehr; „Was wäre“ lässt sich weiter "
        "fragen"
    ),
    "the run is still being decided again ({0} %)": "der Lauf wird noch neu entschieden ({0} %)",
    "this run cannot be edited now: {0}": "dieser Lauf kann jetzt nicht geändert werden: {0}",
    "The bath is above its limit. Stop heating. Your local rules come first.": (
        "Das Bad ist über seiner Grenze. Nicht weiter heizen. Ihre örtlichen Regeln gehen vor."
    ),
    "The bath is close to its limit: warmer, the stopper may lift.": (
        "Das Bad ist nahe an seiner Grenze: Wärmer kann sich der Stopfen heben."
    ),
    "The cell is above its pressure limit. Step back and let the bath cool.": (
        "Die Zelle ist über ihrer Druckgrenze. Zurücktreten und das Bad abkühlen lassen."
    ),
    "The cell is close to its pressure limit: the stopper may lift.": (
        "Die Zelle ist nahe an ihrer Druckgrenze: Der Stopfen kann sich heben."
    ),
    "The charge of the plan is little more than what evaporates: the warmest points may lack liquid.": (
        "Die Füllung des Plans ist kaum mehr, als verdampft: den wärmsten Punkten könnte Flüssigkeit fehlen."
    ),
    "At the next target the cell is forecast to be above its pressure limit.": (
        "Beim nächsten Ziel liegt die Zelle nach der Vorhersage über ihrer Druckgrenze."
    ),
    "The pressure fell suddenly: the stopper may have lifted. Look before you go on.": (
        "Der Druck fiel plötzlich: Der Stopfen kann sich gehoben haben. Erst nachsehen, dann weitermachen."
    ),
    "The bath is close to the boiling point of the liquid.": "Das Bad ist nahe am Siedepunkt der Flüssigkeit.",
    "The closed cell is below room pressure: mind thin glass and sucking back.": (
        "Die geschlossene Zelle ist unter dem Raumdruck: Achten Sie auf dünnes Glas und auf Zurücksaugen."
    ),
}
