"""German words of what a mishap teaches."""

from __future__ import annotations

LESSONS_DE = {
    "What to learn from it": "Was daraus zu lernen ist",
    "How it shows": "Woran man es sieht",
    "What to do": "Was zu tun ist",
    "What the fit says of your points": "Was die Auswertung zu Ihren Punkten sagt",
    "unreadable lines from the device": "unlesbare Zeilen vom Gerät",
    "the device is silent": "das Gerät schweigt",
    "no result: {0}": "kein Ergebnis: {0}",
    "Finding": "Befund",
    "Advice": "Rat",
    "What went wrong: {0}.": "Was nicht stimmte: {0}.",
    "{0} (to be seen from {1})": "{0} (zu sehen ab {1})",
    "{0} (never to be seen in these readings)": "{0} (in diesen Messwerten nie zu sehen)",
    "It could be seen and nobody wrote or did anything about it. A note (key N) when something looks odd "
    "is a reaction.": (
        "Es war zu sehen, und niemand hat etwas notiert oder getan. Eine Notiz (Taste N), wenn etwas seltsam aussieht, "
        "ist eine Reaktion."
    ),
    "With the bath at rest the pressure falls more than the temperature explains; the return point lies low.": (
        "Bei ruhigem Bad fällt der Druck stärker, als die Temperatur erklärt; der Rückkehrpunkt liegt tief."
    ),
    "Take the return point, it tells best. Grease or replace the stopper before the next run.": (
        "Den Rückkehrpunkt nehmen, er zeigt es am besten. Stopfen vor dem nächsten Lauf fetten oder ersetzen."
    ),
    "The pressure drops within seconds near the hottest step, and every later point lies lower.": (
        "Nahe der heißesten Stufe fällt der Druck binnen Sekunden, und jeder spätere Punkt liegt tiefer."
    ),
    "Cool first. Points taken before it stand; after it another amount of air is in the cell.": (
        "Zuerst kühlen. Punkte von vorher gelten; danach ist eine andere Luftmenge in der Zelle."
    ),
    "From the charge on every vapour pressure is too high by nearly the same, and the line is still good.": (
        "Ab der Füllung ist jeder Dampfdruck um fast dasselbe zu hoch; die Gerade ist trotzdem gut."
    ),
    "Hold the vapour pressure against the reference. Fill the syringe without a bubble; note what went in.": (
        "Den Dampfdruck mit dem Literaturwert vergleichen. Die Spritze ohne Blase füllen und notieren, was hineinkam."
    ),
    "As if air had gone in: the liquid squeezes the air, and every vapour pressure is too high.": (
        "Wie bei eingedrungener Luft: Die Flüssigkeit drückt die Luft zusammen, jeder Dampfdruck ist zu hoch."
    ),
    "Draw it back at once. If it stayed in, say so in the run plan: the fit then counts the smaller volume.": (
        "Sofort zurückziehen. Blieb er drin, es im Laufplan angeben: Die Auswertung rechnet dann mit dem kleineren "
        "Volumen."
    ),
    "After the charge the pressure does not rise by the vapour, or sinks back to that of the room.": (
        "Nach der Füllung steigt der Druck nicht um den des Dampfes oder sinkt auf den des Raumes zurück."
    ),
    "Look at the valve. Begin again from the baselines: nobody knows how much went out.": (
        "Nach dem Ventil sehen. Bei den Basislinien neu beginnen: Wie viel entwich, weiß niemand."
    ),
    "While closed and dry the pressure creeps although the bath is at rest.": (
        "Geschlossen und trocken kriecht der Druck, obwohl das Bad ruhig ist."
    ),
    "Open, wait longer in the bath, shut again, and only then put the liquid in.": (
        "Öffnen, länger im Bad warten, wieder schließen und erst dann füllen."
    ),
    "At the hottest steps the pressure rises less than foretold: the liquid is used up, only gas expands.": (
        "An den heißesten Stufen steigt der Druck weniger als vorhergesagt: Die Flüssigkeit ist verbraucht, nur Gas "
        "dehnt sich aus."
    ),
    "Set those points aside and charge more the next time.": (
        "Diese Punkte verwerfen und das nächste Mal mehr einfüllen."
    ),
    "The vapour pressure is too high at every point, since the water adds its own.": (
        "Der Dampfdruck ist an jedem Punkt zu hoch, denn das Wasser gibt seinen eigenen dazu."
    ),
    "Hold it against the reference. Dry the liquid, or open a fresh bottle.": (
        "Mit dem Literaturwert vergleichen. Die Flüssigkeit trocknen oder eine frische Flasche öffnen."
    ),
    "The points make a good line at the wrong height: their scatter shows nothing.": (
        "Die Punkte liegen gut auf einer Geraden in falscher Höhe: Ihre Streuung zeigt nichts."
    ),
    "Hold the vapour pressure against the reference, and take a purer bottle.": (
        "Den Dampfdruck mit dem Literaturwert vergleichen und eine reinere Flasche nehmen."
    ),
    "The pressure dips while the bath stands still, and then comes back.": (
        "Der Druck sinkt, während das Bad ruht, und kommt dann wieder."
    ),
    "Wait until both are level again. Set a point aside that was taken meanwhile.": (
        "Warten, bis beide wieder ruhig sind. Einen Punkt verwerfen, der inzwischen genommen wurde."
    ),
    "The temperature runs off towards the room while the pressure stays.": (
        "Die Temperatur läuft zu der des Raumes davon, während der Druck bleibt."
    ),
    "Put it back beside the cell and wait. Set a point aside that was taken meanwhile.": (
        "Den Fühler neben die Zelle zurückstellen und warten. Einen Punkt verwerfen, der inzwischen genommen wurde."
    ),
    "The temperature leaps while water goes in, and the pressure does not follow.": (
        "Die Temperatur springt, während Wasser einläuft, und der Druck folgt nicht."
    ),
    "Keep the probe beside the cell and away from the stream; wait until the leap is gone.": (
        "Den Fühler neben der Zelle und fern vom Strahl halten; warten, bis der Sprung vorbei ist."
    ),
    "The temperature goes past its target, and perhaps past the limit.": (
        "Die Temperatur läuft über ihr Ziel hinaus, vielleicht auch über die Grenze."
    ),
    "Mind the limit first: let cold water in slowly. A plateau beside its target is as good as one on it.": (
        "Zuerst auf die Grenze achten: langsam kaltes Wasser zugeben. Ein Plateau neben dem Ziel ist so gut wie eines "
        "darauf."
    ),
    "The temperature wanders and the pressure does not follow: water of different warmth passes the probe.": (
        "Die Temperatur wandert, und der Druck folgt nicht: Verschieden warmes Wasser zieht am Fühler vorbei."
    ),
    "Stir, and wait until both go together again.": "Rühren und warten, bis beide wieder zusammengehen.",
    "The readings stop: the numbers turn grey, and the traces have a gap.": (
        "Die Messwerte bleiben aus: Die Zahlen werden grau, die Messkurven haben eine Lücke."
    ),
    "Do not warm while you are blind. Plug it in again: the run goes on, and the gap stays a gap.": (
        "Nicht blind erwärmen. Wieder einstecken: Der Lauf geht weiter, die Lücke bleibt eine Lücke."
    ),
    "Some seconds are missing, and the device counts its own time anew.": (
        "Einige Sekunden fehlen, und das Gerät zählt seine Zeit von neuem."
    ),
    "Wait, and see whether the readings go on where they were.": (
        "Warten und nachsehen, ob die Messwerte dort weitergehen, wo sie waren."
    ),
    "All readings of the device stop at once, and it is reported as lost.": (
        "Alle Messwerte des Geräts bleiben auf einmal aus, und es wird als verloren gemeldet."
    ),
    "Stop heating. What was read is kept; go on when the device is back and both are level.": (
        "Nicht weiter heizen. Was gelesen wurde, bleibt; weitermachen, wenn das Gerät zurück ist und beide ruhig sind."
    ),
    "Damaged lines are counted and left out; there are fewer readings a second.": (
        "Beschädigte Zeilen werden gezählt und weggelassen; es kommen weniger Messwerte in der Sekunde."
    ),
    "The values are not harmed. A shorter cable away from motors helps, and a device that sends a check sum.": (
        "Den Werten schadet es nicht. Ein kürzeres Kabel fern von Motoren oder ein Gerät mit Prüfsumme hilft."
    ),
    "The trace is a staircase: nothing finer than a step can be seen.": (
        "Die Messkurve ist eine Treppe: Feineres als eine Stufe ist nicht zu sehen."
    ),
    "Set the device to more digits, or average over a longer plateau.": (
        "Das Gerät auf mehr Stellen einstellen oder über ein längeres Plateau mitteln."
    ),
    "The very same number again and again, while the other reading moves; a live sensor always scatters.": (
        "Immer genau dieselbe Zahl, während der andere Messwert sich bewegt; ein lebender Sensor streut immer."
    ),
    "Unplug it and plug it in. Set a point aside that was taken meanwhile.": (
        "Aus- und wieder einstecken. Einen Punkt verwerfen, der inzwischen genommen wurde."
    ),
    "Before the run begins neither reading is one of this room.": (
        "Vor Beginn des Laufs ist keiner der beiden Messwerte einer dieses Raumes."
    ),
    "Compare both with the room before the liquid goes in, and mend the device profile.": (
        "Beide vor dem Füllen mit dem Raum vergleichen und das Geräteprofil berichtigen."
    ),
    "Before the run begins one reading is not one of this room, and its steps have the wrong size.": (
        "Vor Beginn des Laufs ist ein Messwert keiner dieses Raumes, und seine Stufen haben die falsche Größe."
    ),
    "Compare with the room before the liquid goes in, and set the unit right in the device or its profile.": (
        "Vor dem Füllen mit dem Raum vergleichen und die Einheit im Gerät oder in seinem Profil richtigstellen."
    ),
}
