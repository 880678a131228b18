"""What a debrief takes over from elsewhere in words: mishaps, aims and titles of shipped scenarios, reasons of a mark.

Each is looked up by the English text that the simulator or the scenario carries; a person's own stay as they are.
"""

from __future__ import annotations

from acquire.report.language import said

LAG_NOTE = said(
    "Distances are told in kelvin of the bath. The lag stays as long as the bath drifts, however long one waits; the "
    "fit corrects it. What was still to come goes away by waiting. Waited: how long after no more than the tolerance "
    "was still to come; below 0 the point was taken before that."
)
SEEN_NOTE = said(
    "Could be seen: the first moment at which ten seconds of readings differ clearly from those of the same run "
    "without the mishap. A reaction is the first note, point set aside, opened valve or early end after it."
)

#: What a device's trouble is called: its own report has bytes and advice that say nothing here.
DEVICE_SIGNS = {
    "rejected": said("unreadable lines from the device"), "lost": said("device lost"), "gap": said("gap"),
    "restarted": said("device restart"), "silent": said("the device is silent"), "reconnected": said("device back"),
}  # fmt: skip

MISHAPS = (
    said("the cell leaks"), said("the stopper lifts"), said("air went in with the liquid"),
    said("the plunger was not drawn back"), said("the valve was left open"),
    said("the cell was not given time to reach the bath's temperature"), said("too little liquid was charged"),
    said("the liquid was wet"), said("the liquid was impure"), said("the cell was out of the bath"),
    said("the probe was out of the water"), said("the probe touched the inflow"), said("too much hot water was poured"),
    said("the bath was not stirred"), said("the cable was pulled"), said("the device restarted"),
    said("the power was cut"), said("the line was disturbed"), said("a sensor spoke in coarse steps"),
    said("a sensor was stuck"), said("the two sensors were swapped"), said("a sensor was set to another unit"),
)  # fmt: skip

TITLES = (
    said("Something is wrong (1)"), said("Something is wrong (2)"), said("Something is wrong (3)"),
    said("Something is wrong (4)"), said("Something is wrong (5)"), said("A brisk run"), said("A calm first run"),
    said("A cold, draughty room"), said("A hot day"), said("A seal that leaks"), said("The stopper lifts"),
    said("A slow flask"), said("Wet hands"),
)  # fmt: skip

AIMS = (
    said("find out what went wrong from the readings alone"),
    said("say how much it moves the result"),
    said("tell what harms the result from what only harms the eye"),
    said("keep logging while the line misbehaves"),
    said("notice what the first minutes say"),
    said("know what to do when the bath is warmer than meant"),
    said("read what the pressure says when the bath has moved"),
    said("bring a run through an interruption without losing it"),
    said("find the small fault behind the loud one"),
    said("say which points can still be used"),
    said("take points as soon as both readings are level, and not before"),
    said("see what a big step costs in waiting, and what span gives in certainty"),
    said("see a whole run from the room baseline to venting"),
    said("see that the pressure follows the bath with a lag, and what level looks like"),
    said("see why a return point is taken"),
    said("see that a bath that loses heat is never flat, and that waiting longer does not cure the lag"),
    said("see what a cold neck above the water line does to the pressure, and that the readings cannot show it"),
    said("learn to cover the bath"),
    said("see how a short span widens the interval, and where the next point would help most"),
    said("give a sensor time to warm up before the baseline is taken"),
    said("mind the bath limit"),
    said("see that a leak bends the line without moving any single point far"),
    said("see why the return point is worth its six minutes"),
    said("do a leak check before the charge"),
    said("know the sudden fall of the pressure when you see it, and what it means for every later point"),
    said("keep away from the pressure at which a stopper lifts: plan the limit before the run"),
    said("see that digits that stand still are not yet level"),
    said("see that swirling shortens the wait more than patience does"),
    said("read what is still to come instead of the clock"),
    said("see which reading moves first in each of the three, and why"),
    said("set a spoilt plateau aside and take it again instead of explaining it away"),
)

#: What counts in a mark and why, as `acquire.debrief_mark` tells it.
MARKS = (
    said("points in time"), said("mishaps"), said("result"), said("no time lost"), said("no point was taken"),
    said("{0} of {1} were not taken too early"), said("a reaction followed {0} of {1} that could be seen"),
    said("there is no interval"), said("the interval holds the true value"),
    said("the interval misses the true value"), said("{0} s a point were waited after the moment of level"),
)  # fmt: skip
