"""What to measure better first, in words: how each input can be known better, in every language."""

from __future__ import annotations

#: How to measure it better, by what the fit calls it.
REMEDIES_EN = {
    "pressure, offset": "read the sensor beside a barometer and enter the difference",
    "pressure, gain": "compare the sensor with a reference at two pressures",
    "temperature, offset": "check the probe in melting ice",
    "temperature, gain": "check the probe at two fixed temperatures, ice and the warmest bath",
    "cell volume": "weigh the cell empty and full of water",
    "charge volume": "weigh the syringe before and after charging",
    "plunger": "draw the plunger back by exactly the charge and note it",
    "tubing volume": "measure length and bore of the tube, or shorten it",
    "tubing gas": "keep the tube short, or warm it above the bath",
    "gas above the water": "submerge the cell to the stopper",
    "room temperature": "put a thermometer beside the bench",
    "room humidity": "read a hygrometer when the cell is closed, or fill the cell with dried air",
    "water taken up by the liquid": "fill the cell with dried air",
    "dissolved air": "say whether the liquid was degassed",
    "sealed baseline, pressure": "let the closed cell stand longer before charging",
    "sealed baseline, temperature": "let the closed cell stand longer in the bath before charging",
    "lag of liquid and probe": "stir and swirl, and wait longer at each point",
    "readings, noise": "average longer at each point or take more points",
    "leak": "tighten the stopper",
    "pressure, drift": "let the sensor warm up, and read it in the open room before and after",
    "pressure, non-linearity": "compare the sensor with a reference at three pressures",
    "solubility of air": "degas the liquid and say so",
    "time air takes to dissolve": "swirl after charging, and wait longer before the first point",
    "amount of air, anything else": "let the cell stand longer in the bath before closing it",
    "heat-capacity difference": "centre the points on the temperature the value is wanted for",
}

REMEDIES_DE = {
    "pressure, offset": "lesen Sie den Sensor neben einem Barometer ab, und tragen Sie die Differenz ein",
    "pressure, gain": "vergleichen Sie den Sensor bei zwei Drücken mit einem Normal",
    "temperature, offset": "prüfen Sie den Fühler in schmelzendem Eis",
    "temperature, gain": "prüfen Sie den Fühler an zwei Fixpunkten, in Eis und im wärmsten Bad",
    "cell volume": "wiegen Sie die Zelle leer und voll Wasser",
    "charge volume": "wiegen Sie die Spritze vor und nach dem Füllen",
    "plunger": "ziehen Sie den Kolben um genau das Füllvolumen zurück, und vermerken Sie es",
    "tubing volume": "messen Sie Länge und Bohrung des Schlauchs, oder kürzen Sie ihn",
    "tubing gas": "halten Sie den Schlauch kurz oder wärmer als das Bad",
    "gas above the water": "tauchen Sie die Zelle bis zum Stopfen ein",
    "room temperature": "stellen Sie ein Thermometer neben den Aufbau",
    "room humidity": (
        "lesen Sie beim Verschließen der Zelle ein Hygrometer ab, oder füllen Sie sie mit getrockneter Luft"
    ),
    "water taken up by the liquid": "füllen Sie die Zelle mit getrockneter Luft",
    "dissolved air": "geben Sie an, ob die Flüssigkeit entgast war",
    "sealed baseline, pressure": "lassen Sie die geschlossene Zelle vor dem Füllen länger stehen",
    "sealed baseline, temperature": "lassen Sie die geschlossene Zelle vor dem Füllen länger im Bad stehen",
    "lag of liquid and probe": "rühren und schwenken Sie, und warten Sie an jedem Punkt länger",
    "readings, noise": "mitteln Sie an jedem Punkt länger, oder nehmen Sie mehr Punkte auf",
    "leak": "drücken Sie den Stopfen fester ein",
    "pressure, drift": "lassen Sie den Sensor warm werden, und lesen Sie ihn vorher und nachher im offenen Raum ab",
    "pressure, non-linearity": "vergleichen Sie den Sensor bei drei Drücken mit einem Normal",
    "time air takes to dissolve": "schwenken Sie nach dem Füllen, und warten Sie vor dem ersten Punkt länger",
    "solubility of air": "entgasen Sie die Flüssigkeit, und geben Sie es an",
    "amount of air, anything else": "lassen Sie die Zelle vor dem Verschließen länger im Bad stehen",
    "heat-capacity difference": "legen Sie die Punkte um die Temperatur, für die der Wert gesucht ist",
}

#: (nothing helps, an input, the noise of the readings)
BETTER_EN = (
    "Nothing at the bench would help much: the vapour's non-ideality is most of what is left.",
    "{source}: {how}. Known {times:1.0} times as well, the uncertainty would fall by {gain:%.0}.",
    "{source}: {how}. With half the noise, the uncertainty would fall by {gain:%.0}.",
)
BETTER_DE = (
    "Am Aufbau hülfe nichts mehr viel: Was bleibt, ist vor allem der Realgasfaktor des Dampfes.",
    "{source}: {how}. {times:1.0}-mal so gut bekannt, sänke die Unsicherheit um {gain:%.0}.",
    "{source}: {how}. Bei halbem Rauschen sänke die Unsicherheit um {gain:%.0}.",
)
