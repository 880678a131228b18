"""The German of debriefs, in the page and in the window."""

from __future__ import annotations

DEBRIEF_DE: dict[str, str] = {
    "Debrief: {0}": "Nachbesprechung: {0}",
    "{0} · seed {1} · {2}": "{0} · Startwert {1} · {2}",
    "decided again on {0} · {1}": "neu entschieden an {0} · {1}",
    "A rehearsal on a simulated bench. No real liquid was measured.": (
        "Eine Übung an einem simulierten Platz. Keine wirkliche Flüssigkeit wurde gemessen."
    ),
    "A stored run, decided again. Its readings are those of the run file it was played from.": (
        "Ein gespeicherter Lauf, neu entschieden. Seine Messwerte sind die der Laufdatei, aus der er gespielt wurde."
    ),
    "It was made on a simulated bench.": "Er entstand an einem simulierten Platz.",
    "What this scenario is for": "Wozu dieses Szenario da ist",
    "true value": "wahrer Wert",
    "your points": "Ihre Punkte",
    "the stored run's points": "die Punkte des gespeicherten Laufs",
    "the program's points on the same traces": "die Punkte des Programms an denselben Messkurven",
    "you": "Sie",
    "the stored run": "der gespeicherte Lauf",
    "the program alone": "das Programm allein",
    "no result": "kein Ergebnis",
    "{0}, no interval": "{0}, kein Intervall",
    "{0}, 95 % interval {1} to {2}": "{0}, 95-%-Intervall {1} bis {2}",
    "{0}: holds the true value": "{0}: enthält den wahren Wert",
    "{0}: misses the true value": "{0}: verfehlt den wahren Wert",
    "Every point was taken when no more than the tolerance was still to come.": (
        "Jeder Punkt wurde genommen, als höchstens noch die Toleranz zu erwarten war."
    ),
    "{0} of {1} points were taken too early: part of the step was still to come.": (
        "{0} von {1} Punkten wurden zu früh genommen: Ein Teil der Stufe war noch zu erwarten."
    ),
    "Waiting past the moment of level took {0} in all.": (
        "Das Warten über den Augenblick der Ruhe hinaus dauerte zusammen {0}."
    ),
    "Left uncorrected, the lag of the drifting bath would move a straight line by {0}, haste by {1}; the fit corrects "
    "the first, nothing corrects the second.": (
        "Unberichtigt verschöbe der Nachlauf hinter dem driftenden Bad eine Gerade um {0}, die Eile um {1}; das erste "
        "berichtigt die Auswertung, das zweite berichtigt nichts."
    ),
    "Nothing went wrong in this scenario.": "In diesem Szenario ging nichts schief.",
    "{0} of {1} mishaps could be seen and nobody wrote or did anything about it. A note (key N) when something looks "
    "odd is a reaction.": (
        "{0} von {1} Pannen waren zu sehen, und niemand schrieb oder tat etwas dazu. Eine Notiz (Taste N), wenn etwas "
        "seltsam aussieht, ist eine Reaktion."
    ),
    "On the same traces you took {0}, the stored run has {1}, the program alone takes {2}.": (
        "An denselben Messkurven nahmen Sie {0}, der gespeicherte Lauf hat {1}, das Programm allein nimmt {2}."
    ),
    "{0} point": "{0} Punkt",
    "{0} points": "{0} Punkte",
    "no points": "keine Punkte",
    "What was true in that cell nobody knows: agreement is no proof, and a difference is no mistake by itself.": (
        "Was in jener Zelle wahr war, weiß niemand: Übereinstimmung ist kein Beweis, und ein Unterschied ist nicht "
        "schon ein Fehler."
    ),
    "The plan sets a scale, but a mark needs a truth to be held against; none is given.": (
        "Der Plan nennt einen Maßstab, doch eine Note braucht eine Wahrheit, an der sie misst; es gibt keine."
    ),
    "Your points against the truth": "Ihre Punkte und die Wahrheit",
    "At": "Um",
    "Bath": "Bad",
    "From equilibrium": "Vom Gleichgewicht",
    "Of which lag": "Davon Nachlauf",
    "Still to come": "Noch zu erwarten",
    "Waited": "Gewartet",
    "too early": "zu früh",
    "in time": "rechtzeitig",
    "No point was taken.": "Es wurde kein Punkt genommen.",
    "Distances are told in kelvin of the bath. The lag stays as long as the bath drifts, however long one waits; the "
    "fit corrects it. What was still to come goes away by waiting. Waited: how long after no more than the tolerance "
    "was still to come; below 0 the point was taken before that.": (
        "Abstände sind in Kelvin des Bades angegeben. Der Nachlauf bleibt, solange das Bad driftet, wie lange man auch "
        "wartet; die Auswertung berichtigt ihn. Was noch zu erwarten war, vergeht durch Warten. Gewartet: wie lange "
        "nach dem Augenblick, in dem höchstens noch die Toleranz zu erwarten war; unter 0 wurde der Punkt davor "
        "genommen."
    ),
    "Your points and the program's on the same traces": "Ihre Punkte und die des Programms an denselben Messkurven",
    "You at": "Sie um",
    "Program at": "Programm um",
    "Neither you nor the program took a point.": "Weder Sie noch das Programm nahmen einen Punkt.",
    "A dash: no point of this plateau.": "Ein Strich: kein Punkt dieses Plateaus.",
    "Points on the same traces": "Punkte an denselben Messkurven",
    "Whose": "Wessen",
    "From": "Von",
    "To": "Bis",
    "Nobody took a point.": "Niemand nahm einen Punkt.",
    "Began": "Begann",
    "Could be seen from": "Zu sehen ab",
    "Your first reaction": "Ihre erste Reaktion",
    "First sign from the program": "Erstes Zeichen des Programms",
    "This scenario had none.": "Dieses Szenario hatte keine.",
    "Could be seen: the first moment at which ten seconds of readings differ clearly from those of the same run "
    "without the mishap. A reaction is the first note, point set aside, opened valve or early end after it.": (
        "Zu sehen: der erste Augenblick, in dem sich zehn Sekunden Messwerte deutlich von denen desselben Laufs ohne "
        "die Panne unterscheiden. Eine Reaktion ist die erste Notiz, ein verworfener Punkt, ein geöffnetes Ventil oder "
        "ein vorzeitiges Ende danach."
    ),
    "did not happen in this run": "geschah in diesem Lauf nicht",
    "never in these readings": "nie in diesen Messwerten",
    "did not happen": "geschah nicht",
    "not to be seen": "nicht zu sehen",
    "missed": "übersehen",
    "reacted after {0} s": "Reaktion nach {0} s",
    "Mark: {0}": "Note: {0}",
    "For": "Für",
    "Got": "Erreicht",
    "Because": "Weil",
    "Nothing counts.": "Nichts zählt.",
    "{0} % of what counts here, by the scale of the run plan.": (
        "{0} % dessen, was hier zählt, nach dem Maßstab des Plans."
    ),
    "points in time": "Punkte rechtzeitig",
    "mishaps": "Pannen",
    "result": "Ergebnis",
    "no time lost": "keine Zeit verloren",
    "no point was taken": "es wurde kein Punkt genommen",
    "{0} of {1} were not taken too early": "{0} von {1} wurden nicht zu früh genommen",
    "a reaction followed {0} of {1} that could be seen": "auf {0} von {1}, die zu sehen waren, folgte eine Reaktion",
    "there is no interval": "es gibt kein Intervall",
    "the interval holds the true value": "das Intervall enthält den wahren Wert",
    "the interval misses the true value": "das Intervall verfehlt den wahren Wert",
    "{0} s a point were waited after the moment of level": (
        "{0} s je Punkt wurden nach dem Augenblick der Ruhe gewartet"
    ),
    "the cell leaks": "die Zelle ist undicht",
    "the stopper lifts": "der Stopfen hebt sich",
    "air went in with the liquid": "mit der Flüssigkeit kam Luft hinein",
    "the plunger was not drawn back": "der Kolben wurde nicht zurückgezogen",
    "the valve was left open": "das Ventil blieb offen",
    "the cell was not given time to reach the bath's temperature": (
        "die Zelle hatte keine Zeit, die Temperatur des Bades anzunehmen"
    ),
    "too little liquid was charged": "es kam zu wenig Flüssigkeit hinein",
    "the liquid was wet": "die Flüssigkeit war feucht",
    "the liquid was impure": "die Flüssigkeit war unrein",
    "the cell was out of the bath": "die Zelle war aus dem Bad",
    "the probe was out of the water": "der Fühler war aus dem Wasser",
    "the probe touched the inflow": "der Fühler lag im einlaufenden Wasser",
    "too much hot water was poured": "es wurde zu viel heißes Wasser eingegossen",
    "the bath was not stirred": "das Bad wurde nicht gerührt",
    "the cable was pulled": "das Kabel wurde gezogen",
    "the device restarted": "das Gerät startete neu",
    "the power was cut": "der Strom fiel aus",
    "the line was disturbed": "die Leitung war gestört",
    "a sensor spoke in coarse steps": "ein Sensor gab grobe Stufen aus",
    "a sensor was stuck": "ein Sensor hing fest",
    "the two sensors were swapped": "die beiden Sensoren waren vertauscht",
    "a sensor was set to another unit": "ein Sensor war auf eine andere Einheit gestellt",
    "Something is wrong (1)": "Etwas stimmt nicht (1)",
    "Something is wrong (2)": "Etwas stimmt nicht (2)",
    "Something is wrong (3)": "Etwas stimmt nicht (3)",
    "Something is wrong (4)": "Etwas stimmt nicht (4)",
    "Something is wrong (5)": "Etwas stimmt nicht (5)",
    "A brisk run": "Ein flotter Lauf",
    "A calm first run": "Ein ruhiger erster Lauf",
    "A cold, draughty room": "Ein kalter, zugiger Raum",
    "A hot day": "Ein heißer Tag",
    "A seal that leaks": "Eine undichte Dichtung",
    "The stopper lifts": "Der Stopfen hebt sich",
    "A slow flask": "Ein langsamer Kolben",
    "Wet hands": "Nasse Hände",
    "find out what went wrong from the readings alone": "allein aus den Messwerten herausfinden, was schiefging",
    "say how much it moves the result": "sagen, wie weit es das Ergebnis verschiebt",
    "tell what harms the result from what only harms the eye": (
        "unterscheiden, was dem Ergebnis schadet und was nur dem Auge"
    ),
    "keep logging while the line misbehaves": "weiter aufzeichnen, während die Leitung stört",
    "notice what the first minutes say": "merken, was die ersten Minuten sagen",
    "know what to do when the bath is warmer than meant": "wissen, was zu tun ist, wenn das Bad wärmer ist als gedacht",
    "read what the pressure says when the bath has moved": "lesen, was der Druck sagt, wenn sich das Bad geändert hat",
    "bring a run through an interruption without losing it": (
        "einen Lauf durch eine Unterbrechung bringen, ohne ihn zu verlieren"
    ),
    "find the small fault behind the loud one": "den kleinen Fehler hinter dem lauten finden",
    "say which points can still be used": "sagen, welche Punkte noch zu gebrauchen sind",
    "take points as soon as both readings are level, and not before": (
        "Punkte nehmen, sobald beide Messwerte ruhig sind, und nicht früher"
    ),
    "see what a big step costs in waiting, and what span gives in certainty": (
        "sehen, was eine große Stufe an Warten kostet und was die Spanne an Sicherheit bringt"
    ),
    "see a whole run from the room baseline to venting": (
        "einen ganzen Lauf sehen, von der Basislinie des Raumes bis zum Belüften"
    ),
    "see that the pressure follows the bath with a lag, and what level looks like": (
        "sehen, dass der Druck dem Bad nachläuft, und wie ruhig aussieht"
    ),
    "see why a return point is taken": "sehen, warum ein Rückkehrpunkt genommen wird",
    "see that a bath that loses heat is never flat, and that waiting longer does not cure the lag": (
        "sehen, dass ein Bad, das Wärme verliert, nie ganz ruhig ist und dass längeres Warten den Nachlauf nicht heilt"
    ),
    "see what a cold neck above the water line does to the pressure, and that the readings cannot show it": (
        "sehen, was ein kalter Hals über dem Wasser mit dem Druck macht und dass die Messwerte es nicht zeigen können"
    ),
    "learn to cover the bath": "lernen, das Bad abzudecken",
    "see how a short span widens the interval, and where the next point would help most": (
        "sehen, wie eine kurze Spanne das Intervall weitet und wo der nächste Punkt am meisten hülfe"
    ),
    "give a sensor time to warm up before the baseline is taken": (
        "einem Sensor Zeit zum Warmwerden geben, bevor die Basislinie genommen wird"
    ),
    "mind the bath limit": "die Grenze des Bades beachten",
    "see that a leak bends the line without moving any single point far": (
        "sehen, dass ein Leck die Gerade verbiegt, ohne einen einzelnen Punkt weit zu verschieben"
    ),
    "see why the return point is worth its six minutes": "sehen, warum der Rückkehrpunkt seine sechs Minuten wert ist",
    "do a leak check before the charge": "vor dem Füllen auf Dichtheit prüfen",
    "know the sudden fall of the pressure when you see it, and what it means for every later point": (
        "den plötzlichen Abfall des Druckes erkennen und wissen, was er für jeden späteren Punkt bedeutet"
    ),
    "keep away from the pressure at which a stopper lifts: plan the limit before the run": (
        "dem Druck fernbleiben, bei dem sich ein Stopfen hebt: die Grenze vor dem Lauf planen"
    ),
    "see that digits that stand still are not yet level": "sehen, dass stehende Ziffern noch nicht ruhig heißen",
    "see that swirling shortens the wait more than patience does": (
        "sehen, dass Schwenken das Warten mehr verkürzt als Geduld"
    ),
    "read what is still to come instead of the clock": "lesen, was noch zu erwarten ist, statt auf die Uhr zu sehen",
    "see which reading moves first in each of the three, and why": (
        "sehen, welcher Messwert sich in jedem der drei Fälle zuerst bewegt, und warum"
    ),
    "set a spoilt plateau aside and take it again instead of explaining it away": (
        "ein verdorbenes Plateau verwerfen und neu nehmen, statt es wegzuerklären"
    ),
}
