<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="de">
  <context>
    <name>satline</name>
    <message>
      <source>PgDn</source>
      <translation>Bild↓</translation>
    </message>
    <message>
      <source>Begin</source>
      <translation>Beginnen</translation>
    </message>
    <message>
      <source>Take plateau</source>
      <translation>Plateau nehmen</translation>
    </message>
    <message>
      <source>Set aside</source>
      <translation>Verwerfen</translation>
    </message>
    <message>
      <source>Use it again</source>
      <translation>Wieder verwenden</translation>
    </message>
    <message>
      <source>Valve is shut</source>
      <translation>Ventil ist zu</translation>
    </message>
    <message>
      <source>Valve is open</source>
      <translation>Ventil ist offen</translation>
    </message>
    <message>
      <source>Liquid is in</source>
      <translation>Flüssigkeit ist drin</translation>
    </message>
    <message>
      <source>Warm water is in</source>
      <translation>Warmwasser ist drin</translation>
    </message>
    <message>
      <source>Cold water is in</source>
      <translation>Kaltwasser ist drin</translation>
    </message>
    <message>
      <source>Next step</source>
      <translation>Weiter</translation>
    </message>
    <message>
      <source>Note</source>
      <translation>Notiz</translation>
    </message>
    <message>
      <source>Undo</source>
      <translation>Rückgängig</translation>
    </message>
    <message>
      <source>Redo</source>
      <translation>Wiederholen</translation>
    </message>
    <message>
      <source>Cell is vented</source>
      <translation>Zelle belüftet</translation>
    </message>
    <message>
      <source>Finish the run</source>
      <translation>Lauf beenden</translation>
    </message>
    <message>
      <source>Change a window</source>
      <translation>Fenster ändern</translation>
    </message>
    <message>
      <source>Take it now</source>
      <translation>Jetzt nehmen</translation>
    </message>
    <message>
      <source>Ctrl</source>
      <translation>Strg</translation>
    </message>
    <message>
      <source>Open the report</source>
      <translation>Bericht öffnen</translation>
    </message>
    <message>
      <source>Leave</source>
      <translation>Verlassen</translation>
    </message>
    <message>
      <source>Set point {0} aside</source>
      <translation>Punkt {0} verwerfen</translation>
    </message>
    <message>
      <source>Use point {0} again</source>
      <translation>Punkt {0} wieder verwenden</translation>
    </message>
    <message>
      <source>set aside by hand</source>
      <translation>von Hand verworfen</translation>
    </message>
    <message>
      <source>used again by hand</source>
      <translation>von Hand wieder verwendet</translation>
    </message>
    <message>
      <source>window moved by hand</source>
      <translation>Fenster von Hand verschoben</translation>
    </message>
    <message>
      <source>This ends the run now, before all planned points are taken. Press again to end it.</source>
      <translation>Das beendet den Lauf jetzt, bevor alle geplanten Punkte genommen sind. Zum Beenden noch einmal drücken.</translation>
    </message>
    <message>
      <source>The rehearsal is over and its debrief is open. Ctrl+R opens the page to keep.</source>
      <translation>Der Probelauf ist vorbei, die Nachbesprechung ist offen. Strg+R öffnet die Seite zum Aufheben.</translation>
    </message>
    <message>
      <source>The file is being closed and the report is being written. That takes a moment.</source>
      <translation>Die Datei wird geschlossen und der Bericht geschrieben. Das dauert einen Augenblick.</translation>
    </message>
    <message>
      <source>There is no report yet: it is written when the run is closed.</source>
      <translation>Es gibt noch keinen Bericht: Er wird geschrieben, wenn der Lauf geschlossen ist.</translation>
    </message>
    <message>
      <source>The run is still being recorded. Leaving closes its file with everything up to now.</source>
      <translation>Der Lauf wird noch aufgezeichnet. Verlassen schließt die Datei mit allem bis jetzt.</translation>
    </message>
    <message>
      <source>Run file and report are written. Ctrl+R opens the report.</source>
      <translation>Laufdatei und Bericht sind geschrieben. Strg+R öffnet den Bericht.</translation>
    </message>
    <message>
      <source>Nothing is asked for now: {0}</source>
      <translation>Jetzt ist nichts verlangt: {0}</translation>
    </message>
    <message>
      <source>Follow the run</source>
      <translation>Dem Lauf folgen</translation>
    </message>
    <message>
      <source>Show the whole run</source>
      <translation>Den ganzen Lauf zeigen</translation>
    </message>
    <message>
      <source>Show the last 10 min</source>
      <translation>Die letzten 10 min zeigen</translation>
    </message>
    <message>
      <source>Show the last 3 min</source>
      <translation>Die letzten 3 min zeigen</translation>
    </message>
    <message>
      <source>Shorter stretch of time</source>
      <translation>Kürzere Zeitspanne</translation>
    </message>
    <message>
      <source>Longer stretch of time</source>
      <translation>Längere Zeitspanne</translation>
    </message>
    <message>
      <source>Earlier</source>
      <translation>Früher</translation>
    </message>
    <message>
      <source>Later</source>
      <translation>Später</translation>
    </message>
    <message>
      <source>Look at the point before</source>
      <translation>Den Punkt davor ansehen</translation>
    </message>
    <message>
      <source>Look at the next point</source>
      <translation>Den nächsten Punkt ansehen</translation>
    </message>
    <message>
      <source>Look at no point</source>
      <translation>Keinen Punkt ansehen</translation>
    </message>
    <message>
      <source>Window starts 1 s earlier</source>
      <translation>Fenster beginnt 1 s früher</translation>
    </message>
    <message>
      <source>Window starts 1 s later</source>
      <translation>Fenster beginnt 1 s später</translation>
    </message>
    <message>
      <source>Window ends 1 s earlier</source>
      <translation>Fenster endet 1 s früher</translation>
    </message>
    <message>
      <source>Window ends 1 s later</source>
      <translation>Fenster endet 1 s später</translation>
    </message>
    <message>
      <source>Big numbers in a second window</source>
      <translation>Große Zahlen in einem zweiten Fenster</translation>
    </message>
    <message>
      <source>Full screen</source>
      <translation>Vollbild</translation>
    </message>
    <message>
      <source>Next theme: light, dark, high contrast</source>
      <translation>Nächstes Aussehen: hell, dunkel, hoher Kontrast</translation>
    </message>
    <message>
      <source>Larger text</source>
      <translation>Größere Schrift</translation>
    </message>
    <message>
      <source>Smaller text</source>
      <translation>Kleinere Schrift</translation>
    </message>
    <message>
      <source>Sound on or off</source>
      <translation>Ton an oder aus</translation>
    </message>
    <message>
      <source>What satline cannot know</source>
      <translation>Was satline nicht wissen kann</translation>
    </message>
    <message>
      <source>How settling is judged; devices; advice</source>
      <translation>Wie Ruhe beurteilt wird; Geräte; Ratschläge</translation>
    </message>
    <message>
      <source>&amp;Run</source>
      <translation>&amp;Lauf</translation>
    </message>
    <message>
      <source>Done</source>
      <translation>Fertig</translation>
    </message>
    <message>
      <source>&amp;Help</source>
      <translation>&amp;Hilfe</translation>
    </message>
    <message>
      <source>Text size</source>
      <translation>Schriftgröße</translation>
    </message>
    <message>
      <source>&amp;Traces</source>
      <translation>&amp;Messkurven</translation>
    </message>
    <message>
      <source>&amp;View</source>
      <translation>&amp;Ansicht</translation>
    </message>
    <message>
      <source>satline controls nothing and is not a safety device. It does not know what your cell, stopper and tubing withstand. Eye protection on, no flames; the safety data sheet, your local rules and the person in charge decide.</source>
      <translation>satline steuert nichts und ist keine Sicherheitseinrichtung. Es weiß nicht, was Ihre Zelle, Ihr Stopfen und Ihre Schläuche aushalten. Schutzbrille auf, keine Flammen; Sicherheitsdatenblatt, örtliche Regeln und die verantwortliche Person entscheiden.</translation>
    </message>
    <message>
      <source>satline, big numbers</source>
      <translation>satline, große Zahlen</translation>
    </message>
    <message>
      <source>level; watching that it stays so</source>
      <translation>ruhig; es wird beobachtet, ob es so bleibt</translation>
    </message>
    <message>
      <source>too few seconds since the last change</source>
      <translation>zu wenige Sekunden seit der letzten Änderung</translation>
    </message>
    <message>
      <source>the bath is still being warmed or cooled</source>
      <translation>das Bad wird noch erwärmt oder gekühlt</translation>
    </message>
    <message>
      <source>the temperature is not level yet</source>
      <translation>die Temperatur ist noch nicht ruhig</translation>
    </message>
    <message>
      <source>the bath temperature wanders: is it cycling or being warmed?</source>
      <translation>die Badtemperatur wandert: Regelt oder heizt etwas?</translation>
    </message>
    <message>
      <source>too few pressure readings to say</source>
      <translation>zu wenige Druckwerte für eine Aussage</translation>
    </message>
    <message>
      <source>the pressure is not level yet</source>
      <translation>der Druck ist noch nicht ruhig</translation>
    </message>
    <message>
      <source>the temperature jumped: waiting to see whether it stays</source>
      <translation>die Temperatur ist gesprungen: abwarten, ob es so bleibt</translation>
    </message>
    <message>
      <source>the pressure was disturbed: waiting until it is back on its course</source>
      <translation>der Druck wurde gestört: warten, bis er wieder auf seinem Weg ist</translation>
    </message>
    <message>
      <source>the pressure is off the course that the temperature explains</source>
      <translation>der Druck folgt nicht dem, was die Temperatur erklärt</translation>
    </message>
    <message>
      <source>the pressure changes and the temperature does not explain it: is there a leak?</source>
      <translation>der Druck ändert sich, und die Temperatur erklärt es nicht: undicht?</translation>
    </message>
    <message>
      <source>the readings scatter or step too much for a point</source>
      <translation>die Werte streuen oder stufen zu sehr für einen Punkt</translation>
    </message>
    <message>
      <source>no temperature readings: check the device and its cable</source>
      <translation>keine Temperaturwerte: Gerät und Kabel prüfen</translation>
    </message>
    <message>
      <source>no pressure readings: check the device and its cable</source>
      <translation>keine Druckwerte: Gerät und Kabel prüfen</translation>
    </message>
    <message>
      <source>the temperature is one that no cell in a bath has: check unit and probe</source>
      <translation>so warm oder kalt ist keine Zelle im Bad: Einheit und Fühler prüfen</translation>
    </message>
    <message>
      <source>the pressure is one that no cell in a bath has: check unit and sensor</source>
      <translation>so einen Druck hat keine Zelle im Bad: Einheit und Sensor prüfen</translation>
    </message>
    <message>
      <source>the temperature has not changed at all: is the sensor stuck?</source>
      <translation>die Temperatur ändert sich gar nicht: Hängt der Sensor?</translation>
    </message>
    <message>
      <source>the pressure has not changed at all: is the sensor stuck?</source>
      <translation>der Druck ändert sich gar nicht: Hängt der Sensor?</translation>
    </message>
    <message>
      <source>the run is closed</source>
      <translation>der Lauf ist geschlossen</translation>
    </message>
    <message>
      <source>not at this stage</source>
      <translation>nicht in diesem Abschnitt</translation>
    </message>
    <message>
      <source>no point was taken yet</source>
      <translation>es wurde noch kein Punkt genommen</translation>
    </message>
    <message>
      <source>a window must be 3 s long or longer</source>
      <translation>ein Fenster muss mindestens 3 s lang sein</translation>
    </message>
    <message>
      <source>there is nothing to take at this stage</source>
      <translation>in diesem Abschnitt gibt es nichts zu nehmen</translation>
    </message>
    <message>
      <source>there are no readings yet</source>
      <translation>es gibt noch keine Werte</translation>
    </message>
    <message>
      <source>no plateau is offered and no point was taken</source>
      <translation>kein Plateau ist angeboten und kein Punkt genommen</translation>
    </message>
    <message>
      <source>no plateau is offered; choose a point first</source>
      <translation>kein Plateau ist angeboten; zuerst einen Punkt wählen</translation>
    </message>
    <message>
      <source>the cell is not in the bath yet</source>
      <translation>die Zelle ist noch nicht im Bad</translation>
    </message>
    <message>
      <source>there is no next step</source>
      <translation>es gibt keinen nächsten Schritt</translation>
    </message>
    <message>
      <source>a note needs text</source>
      <translation>eine Notiz braucht Text</translation>
    </message>
    <message>
      <source>there is nothing to undo</source>
      <translation>es gibt nichts rückgängig zu machen</translation>
    </message>
    <message>
      <source>there is nothing to redo</source>
      <translation>es gibt nichts zu wiederholen</translation>
    </message>
    <message>
      <source>being opened</source>
      <translation>wird geöffnet</translation>
    </message>
    <message>
      <source>open</source>
      <translation>offen</translation>
    </message>
    <message>
      <source>lost</source>
      <translation>verloren</translation>
    </message>
    <message>
      <source>closed</source>
      <translation>geschlossen</translation>
    </message>
    <message>
      <source>built in, or says nothing about itself</source>
      <translation>eingebaut, oder sagt nichts über sich</translation>
    </message>
    <message>
      <source>USB device</source>
      <translation>USB-Gerät</translation>
    </message>
    <message>
      <source>pressure offset</source>
      <translation>Nullpunkt Druck</translation>
    </message>
    <message>
      <source>pressure gain</source>
      <translation>Steigung Druck</translation>
    </message>
    <message>
      <source>pressure linearity</source>
      <translation>Linearität Druck</translation>
    </message>
    <message>
      <source>pressure drift</source>
      <translation>Drift Druck</translation>
    </message>
    <message>
      <source>thermometer offset</source>
      <translation>Nullpunkt Thermometer</translation>
    </message>
    <message>
      <source>thermometer gain</source>
      <translation>Steigung Thermometer</translation>
    </message>
    <message>
      <source>lag of the liquid</source>
      <translation>Nachlauf der Flüssigkeit</translation>
    </message>
    <message>
      <source>heat capacity</source>
      <translation>Wärmekapazität</translation>
    </message>
    <message>
      <source>baseline pressure</source>
      <translation>Druck der Basislinie</translation>
    </message>
    <message>
      <source>baseline temperature</source>
      <translation>Temperatur der Basislinie</translation>
    </message>
    <message>
      <source>amount of air</source>
      <translation>Luftmenge</translation>
    </message>
    <message>
      <source>cell volume</source>
      <translation>Zellvolumen</translation>
    </message>
    <message>
      <source>charge volume</source>
      <translation>Füllvolumen</translation>
    </message>
    <message>
      <source>plunger</source>
      <translation>Kolben</translation>
    </message>
    <message>
      <source>tubing volume</source>
      <translation>Schlauchvolumen</translation>
    </message>
    <message>
      <source>tubing gas</source>
      <translation>Gas im Schlauch</translation>
    </message>
    <message>
      <source>gas above the water</source>
      <translation>Gas über dem Wasser</translation>
    </message>
    <message>
      <source>room temperature</source>
      <translation>Raumtemperatur</translation>
    </message>
    <message>
      <source>room humidity</source>
      <translation>Raumfeuchte</translation>
    </message>
    <message>
      <source>water in the liquid</source>
      <translation>Wasser in der Flüssigkeit</translation>
    </message>
    <message>
      <source>dissolved air</source>
      <translation>gelöste Luft</translation>
    </message>
    <message>
      <source>solubility of air</source>
      <translation>Löslichkeit der Luft</translation>
    </message>
    <message>
      <source>time air takes to dissolve</source>
      <translation>Lösezeit der Luft</translation>
    </message>
    <message>
      <source>pressure readings</source>
      <translation>Druckwerte</translation>
    </message>
    <message>
      <source>temperature readings</source>
      <translation>Temperaturwerte</translation>
    </message>
    <message>
      <source>vapour non-ideality</source>
      <translation>Realgas-Anteil</translation>
    </message>
    <message>
      <source>That is as much as the readings allow: they scatter or step.</source>
      <translation>Mehr geben die Werte nicht her: Sie streuen oder stufen.</translation>
    </message>
    <message>
      <source>No line can be laid through these points. Take another point, or look at the ones there are.</source>
      <translation>Durch diese Punkte lässt sich keine Gerade legen. Einen weiteren Punkt nehmen oder die vorhandenen ansehen.</translation>
    </message>
    <message>
      <source>Word for word: “{0}”</source>
      <translation>Im Wortlaut: „{0}“</translation>
    </message>
    <message>
      <source>“{0}” is not possible now: {1}.</source>
      <translation>„{0}“ geht jetzt nicht: {1}.</translation>
    </message>
    <message>
      <source>“{0}” is not possible now.</source>
      <translation>„{0}“ geht jetzt nicht.</translation>
    </message>
    <message>
      <source>vap</source>
      <translation>Dampf</translation>
    </message>
    <message>
      <source>you</source>
      <translation>Sie</translation>
    </message>
    <message>
      <source>auto</source>
      <translation>selbst</translation>
    </message>
    <message>
      <source>operator</source>
      <translation>Gehilfe</translation>
    </message>
    <message>
      <source>device</source>
      <translation>Gerät</translation>
    </message>
    <message>
      <source>Baseline forming</source>
      <translation>Basislinie entsteht</translation>
    </message>
    <message>
      <source>after the next change of the bath</source>
      <translation>nach der nächsten Änderung des Bads</translation>
    </message>
    <message>
      <source>Point {0}</source>
      <translation>Punkt {0}</translation>
    </message>
    <message>
      <source>return</source>
      <translation>Rückkehr</translation>
    </message>
    <message>
      <source>set aside</source>
      <translation>verworfen</translation>
    </message>
    <message>
      <source>Baseline</source>
      <translation>Basislinie</translation>
    </message>
    <message>
      <source>Take it</source>
      <translation>Nehmen</translation>
    </message>
    <message>
      <source>Point {0} forming</source>
      <translation>Punkt {0} entsteht</translation>
    </message>
    <message>
      <source>set aside: {0}</source>
      <translation>verworfen: {0}</translation>
    </message>
    <message>
      <source>{0} ready</source>
      <translation>{0} bereit</translation>
    </message>
    <message>
      <source>steady for {0}</source>
      <translation>seit {0} ruhig</translation>
    </message>
    <message>
      <source>steady for {0} so far</source>
      <translation>bisher {0} ruhig</translation>
    </message>
    <message>
      <source>and {0} more</source>
      <translation>und {0} weitere</translation>
    </message>
    <message>
      <source>Local rules and the safety data sheet decide.</source>
      <translation>Örtliche Regeln und das Sicherheitsdatenblatt entscheiden.</translation>
    </message>
    <message>
      <source>The stopper may have lifted and vapour come out. No flames; look before you go on.</source>
      <translation>Der Stopfen kann sich gehoben haben und Dampf ausgetreten sein. Keine Flammen; erst nachsehen, dann weitermachen.</translation>
    </message>
    <message>
      <source>Boiling point is near</source>
      <translation>Siedepunkt ist nahe</translation>
    </message>
    <message>
      <source>Mind thin glass, and water sucked back when the valve opens. Eye protection on; open the valve slowly.</source>
      <translation>Auf dünnes Glas achten, und auf Wasser, das beim Öffnen eingesogen wird. Schutzbrille auf; Ventil langsam öffnen.</translation>
    </message>
    <message>
      <source>At the target of {0} °C the cell is forecast to pass the plan's limit of {1} kPa. Choose a cooler target, or vent. Local rules come first.</source>
      <translation>Beim Ziel von {0} °C wird die Zelle voraussichtlich die Grenze des Plans von {1} kPa überschreiten. Ein kühleres Ziel wählen oder belüften. Örtliche Regeln gehen vor.</translation>
    </message>
    <message>
      <source>Run file in trouble</source>
      <translation>Laufdatei gestört</translation>
    </message>
    <message>
      <source>{0} °C to the limit</source>
      <translation>Noch {0} °C bis zur Grenze</translation>
    </message>
    <message>
      <source>Warmer than {0} the stopper may lift: satline does not know your cell. Eye protection on, no flames. Local rules come first.</source>
      <translation>Über {0} kann sich der Stopfen heben: satline kennt Ihre Zelle nicht. Schutzbrille auf, keine Flammen. Örtliche Regeln gehen vor.</translation>
    </message>
    <message>
      <source>{0} °C above the limit</source>
      <translation>{0} °C über der Grenze</translation>
    </message>
    <message>
      <source>The bath reads {0}, the plan's limit is {1}. Stop heating and step back; add cold water only from a distance your local rules allow.</source>
      <translation>Das Bad zeigt {0}, die Grenze des Plans ist {1}. Nicht weiter heizen, zurücktreten; kaltes Wasser nur aus dem Abstand zugeben, den die örtlichen Regeln erlauben.</translation>
    </message>
    <message>
      <source>Cell {0} kPa above the room</source>
      <translation>Zelle {0} kPa über Raumdruck</translation>
    </message>
    <message>
      <source>The plan's limit is {0} kPa above the room; the stopper may lift. Eye protection on, no flames. Local rules come first.</source>
      <translation>Die Grenze des Plans ist {0} kPa über Raumdruck; der Stopfen kann sich heben. Schutzbrille auf, keine Flammen. Örtliche Regeln gehen vor.</translation>
    </message>
    <message>
      <source>That is over the plan's limit of {0} kPa; satline does not know what your cell withstands. Step back and let the bath cool. Local rules come first.</source>
      <translation>Das ist über der Grenze des Plans von {0} kPa; satline weiß nicht, was Ihre Zelle aushält. Zurücktreten und das Bad abkühlen lassen. Örtliche Regeln gehen vor.</translation>
    </message>
    <message>
      <source>Next step: {0} kPa above the room</source>
      <translation>Nächster Schritt: {0} kPa über Raumdruck</translation>
    </message>
    <message>
      <source>Charge of {0} mL is small</source>
      <translation>Füllung von {0} mL ist klein</translation>
    </message>
    <message>
      <source>At the warmest target {0} mL of it will be vapour; what drains and splashes may not suffice then. Charge several times as much where the cell allows, and tell the plan.</source>
      <translation>Beim wärmsten Ziel werden {0} mL davon Dampf sein; was abläuft und spritzt, könnte dann nicht reichen. Ein Mehrfaches einfüllen, wo die Zelle es zulässt, und es dem Plan sagen.</translation>
    </message>
    <message>
      <source>Pressure fell by {0} kPa</source>
      <translation>Druck fiel um {0} kPa</translation>
    </message>
    <message>
      <source>The bath reads {0}, the liquid boils near {1} at one atmosphere: vapour alone then lifts a stopper. Stop heating. Local rules come first.</source>
      <translation>Das Bad zeigt {0}, die Flüssigkeit siedet bei Normdruck um {1}: Der Dampf allein hebt dann einen Stopfen. Nicht weiter heizen. Örtliche Regeln gehen vor.</translation>
    </message>
    <message>
      <source>Cell {0} kPa below the room</source>
      <translation>Zelle {0} kPa unter Raumdruck</translation>
    </message>
    <message>
      <source>You are blind: stop heating. Check cable and power.</source>
      <translation>Sie sehen nichts mehr: Nicht weiter heizen. Kabel und Strom prüfen.</translation>
    </message>
    <message>
      <source>temperature</source>
      <translation>Temperatur</translation>
    </message>
    <message>
      <source>The limit is reached near {0}.</source>
      <translation>Die Grenze wird bei etwa {0} erreicht.</translation>
    </message>
    <message>
      <source>{0} is lost</source>
      <translation>{0} ist verloren</translation>
    </message>
    <message>
      <source>pressure</source>
      <translation>Druck</translation>
    </message>
    <message>
      <source>The number shown is old. Stop heating until readings come again.</source>
      <translation>Die gezeigte Zahl ist alt. Nicht weiter heizen, bis wieder Werte kommen.</translation>
    </message>
    <message>
      <source>No {0} for {1}</source>
      <translation>Kein Wert für {0} seit {1}</translation>
    </message>
    <message>
      <source>The run file could not be closed in order; check it with verify.</source>
      <translation>Die Laufdatei konnte nicht ordentlich geschlossen werden; mit verify prüfen.</translation>
    </message>
    <message>
      <source>run</source>
      <translation>Lauf</translation>
    </message>
    <message>
      <source>result</source>
      <translation>Ergebnis</translation>
    </message>
    <message>
      <source>95 % interval</source>
      <translation>95-%-Intervall</translation>
    </message>
    <message>
      <source>straight line</source>
      <translation>Gerade</translation>
    </message>
    <message>
      <source>reference</source>
      <translation>Literatur</translation>
    </message>
    <message>
      <source>boiling point</source>
      <translation>Siedepunkt</translation>
    </message>
    <message>
      <source>points</source>
      <translation>Punkte</translation>
    </message>
    <message>
      <source>findings</source>
      <translation>Befunde</translation>
    </message>
    <message>
      <source>the start</source>
      <translation>Beginn</translation>
    </message>
    <message>
      <source>the charge</source>
      <translation>Füllung</translation>
    </message>
    <message>
      <source>step {0}, from its first reading</source>
      <translation>Schritt {0}, ab seinem ersten Wert</translation>
    </message>
    <message>
      <source>Runs begin together at</source>
      <translation>Läufe beginnen gemeinsam bei</translation>
    </message>
    <message>
      <source>cell pressure / kPa</source>
      <translation>Zelldruck / kPa</translation>
    </message>
    <message>
      <source>time / min</source>
      <translation>Zeit / min</translation>
    </message>
    <message>
      <source>bath temperature / °C</source>
      <translation>Badtemperatur / °C</translation>
    </message>
    <message>
      <source>ln(p vapour / kPa)</source>
      <translation>ln(p Dampf / kPa)</translation>
    </message>
    <message>
      <source>1000 K / T</source>
      <translation>1000 K / T</translation>
    </message>
    <message>
      <source>residual / Pa</source>
      <translation>Abweichung / Pa</translation>
    </message>
    <message>
      <source>T / °C</source>
      <translation>T / °C</translation>
    </message>
    <message>
      <source>Results</source>
      <translation>Ergebnisse</translation>
    </message>
    <message>
      <source>runs begin together at</source>
      <translation>Läufe beginnen gemeinsam bei</translation>
    </message>
    <message>
      <source>{0} runs – satline</source>
      <translation>{0} Läufe – satline</translation>
    </message>
    <message>
      <source>{0} runs compared</source>
      <translation>{0} Läufe im Vergleich</translation>
    </message>
    <message>
      <source>Something happened that satline was not made for, and it has to stop.</source>
      <translation>Es ist etwas geschehen, wofür satline nicht gemacht ist; es muss aufhören.</translation>
    </message>
    <message>
      <source>If something is being warmed, stop that first: nobody is told anything any more.</source>
      <translation>Wenn gerade etwas erwärmt wird, das zuerst beenden: Niemandem wird mehr etwas gesagt.</translation>
    </message>
    <message>
      <source>satline has to stop</source>
      <translation>satline muss aufhören</translation>
    </message>
    <message>
      <source>Details</source>
      <translation>Einzelheiten</translation>
    </message>
    <message>
      <source>Copy the details</source>
      <translation>Einzelheiten kopieren</translation>
    </message>
    <message>
      <source>The run goes on being recorded in a process of its own. To see it again: satline bench --rejoin {0}</source>
      <translation>Der Lauf wird in einem eigenen Prozess weiter aufgezeichnet. Um ihn wieder zu sehen: satline bench --rejoin {0}</translation>
    </message>
    <message>
      <source>The run file is closed and holds everything up to now: {0}</source>
      <translation>Die Laufdatei ist geschlossen und enthält alles bis jetzt: {0}</translation>
    </message>
    <message>
      <source>The run file is {0}; it may need `satline verify --repair`. {1}</source>
      <translation>Die Laufdatei ist {0}; vielleicht braucht sie `satline verify --repair`. {1}</translation>
    </message>
    <message>
      <source>Open the page to keep  Ctrl+R</source>
      <translation>Seite zum Aufheben öffnen  Strg+R</translation>
    </message>
    <message>
      <source>Close  Esc</source>
      <translation>Schließen  Esc</translation>
    </message>
    <message>
      <source>What this scenario is for</source>
      <translation>Wozu dieses Szenario dient</translation>
    </message>
    <message>
      <source>A run file</source>
      <translation>Eine Laufdatei</translation>
    </message>
    <message>
      <source>Run files (*.h5)</source>
      <translation>Laufdateien (*.h5)</translation>
    </message>
    <message>
      <source>A folder of runs</source>
      <translation>Ein Ordner mit Läufen</translation>
    </message>
    <message>
      <source>Look at a run…  F7</source>
      <translation>Lauf ansehen…  F7</translation>
    </message>
    <message>
      <source>Pool a folder…  F8</source>
      <translation>Ordner zusammenfassen…  F8</translation>
    </message>
    <message>
      <source>Type in points…  F9</source>
      <translation>Punkte eintippen…  F9</translation>
    </message>
    <message>
      <source>{0} Close this window to go back.</source>
      <translation>{0} Dieses Fenster schließen, um zurückzukehren.</translation>
    </message>
    <message>
      <source>Saturation line</source>
      <translation>Dampfdruckkurve</translation>
    </message>
    <message>
      <source>ln(p vapour / kPa) over 1000 K / T</source>
      <translation>ln(p Dampf / kPa) über 1000 K / T</translation>
    </message>
    <message>
      <source>Where the ± comes from</source>
      <translation>Woher das ± kommt</translation>
    </message>
    <message>
      <source>Result</source>
      <translation>Ergebnis</translation>
    </message>
    <message>
      <source>Enthalpy of vaporisation</source>
      <translation>Verdampfungsenthalpie</translation>
    </message>
    <message>
      <source>{0} point</source>
      <translation>{0} Punkt</translation>
    </message>
    <message>
      <source>{0} points</source>
      <translation>{0} Punkte</translation>
    </message>
    <message>
      <source>The line and its result appear with the third point.</source>
      <translation>Linie und Ergebnis erscheinen mit dem dritten Punkt.</translation>
    </message>
    <message>
      <source>no interval can be given</source>
      <translation>kein Intervall möglich</translation>
    </message>
    <message>
      <source>One more point at {0} would narrow it to ± {1} kJ/mol.</source>
      <translation>Ein weiterer Punkt bei {0} würde es auf ± {1} kJ/mol verengen.</translation>
    </message>
    <message>
      <source>all others</source>
      <translation>alle übrigen</translation>
    </message>
    <message>
      <source>at {0}</source>
      <translation>bei {0}</translation>
    </message>
    <message>
      <source>What was seen or done? Enter keeps it, Esc leaves</source>
      <translation>Was wurde gesehen oder getan? Eingabe behält es, Esc verlässt</translation>
    </message>
    <message>
      <source>Keep the note  ⏎</source>
      <translation>Notiz behalten  ⏎</translation>
    </message>
    <message>
      <source>Close the file and leave</source>
      <translation>Datei schließen und verlassen</translation>
    </message>
    <message>
      <source>Go on recording</source>
      <translation>Weiter aufzeichnen</translation>
    </message>
    <message>
      <source>The sealed baseline was taken.</source>
      <translation>Die geschlossene Basislinie wurde genommen.</translation>
    </message>
    <message>
      <source>The room baseline was taken.</source>
      <translation>Die Basislinie des Raums wurde genommen.</translation>
    </message>
    <message>
      <source>Point {0} was taken: {1}, {2}</source>
      <translation>Punkt {0} wurde genommen: {1}, {2}</translation>
    </message>
    <message>
      <source>Draw the plunger back where the plan says so; the cell stays shut. Press Enter, then swirl.</source>
      <translation>Den Kolben zurückziehen, wo der Plan es sagt; die Zelle bleibt geschlossen. Eingabe drücken, dann schwenken.</translation>
    </message>
    <message>
      <source>Change the bath temperature</source>
      <translation>Badtemperatur ändern</translation>
    </message>
    <message>
      <source>Stored run</source>
      <translation>Gespeicherter Lauf</translation>
    </message>
    <message>
      <source>Watch and decide</source>
      <translation>Zusehen und entscheiden</translation>
    </message>
    <message>
      <source>The run is closed</source>
      <translation>Der Lauf ist geschlossen</translation>
    </message>
    <message>
      <source>To begin</source>
      <translation>Zu Beginn</translation>
    </message>
    <message>
      <source>Valve open, cell in the bath</source>
      <translation>Ventil offen, Zelle im Bad</translation>
    </message>
    <message>
      <source>Waiting for the first readings.</source>
      <translation>Warten auf die ersten Werte.</translation>
    </message>
    <message>
      <source>Ready</source>
      <translation>Bereit</translation>
    </message>
    <message>
      <source>Now</source>
      <translation>Jetzt</translation>
    </message>
    <message>
      <source>Shut the valve</source>
      <translation>Ventil schließen</translation>
    </message>
    <message>
      <source>Keep the cell still, then press Enter.</source>
      <translation>Zelle ruhig halten, dann Eingabe drücken.</translation>
    </message>
    <message>
      <source>Inject the liquid</source>
      <translation>Flüssigkeit einspritzen</translation>
    </message>
    <message>
      <source>Left still, the vapour would need about {0} to fill the cell.</source>
      <translation>Bliebe die Zelle still, bräuchte der Dampf etwa {0}, um sie zu füllen.</translation>
    </message>
    <message>
      <source>Next warm-up</source>
      <translation>Nächstes Erwärmen</translation>
    </message>
    <message>
      <source>Next cool-down</source>
      <translation>Nächstes Abkühlen</translation>
    </message>
    <message>
      <source>To end</source>
      <translation>Zum Ende</translation>
    </message>
    <message>
      <source>Open the valve slowly</source>
      <translation>Ventil langsam öffnen</translation>
    </message>
    <message>
      <source>Let the pressure out, away from flames and faces. Then lift the cell out and press Enter.</source>
      <translation>Den Druck ablassen, weg von Flammen und Gesichtern. Dann die Zelle herausheben und Eingabe drücken.</translation>
    </message>
    <message>
      <source>Close the run</source>
      <translation>Lauf schließen</translation>
    </message>
    <message>
      <source>The file is sealed and the report written.</source>
      <translation>Die Datei wird versiegelt und der Bericht geschrieben.</translation>
    </message>
    <message>
      <source>Keep still</source>
      <translation>Ruhig halten</translation>
    </message>
    <message>
      <source>Not level for {0}: look at valve, stopper and bath. Space takes it as it is, PgDn goes on.</source>
      <translation>Seit {0} nicht ruhig: nach Ventil, Stopfen und Bad sehen. Leertaste nimmt es, wie es ist, Bild↓ geht weiter.</translation>
    </message>
    <message>
      <source>Wait</source>
      <translation>Warten</translation>
    </message>
    <message>
      <source>Nothing to do</source>
      <translation>Nichts zu tun</translation>
    </message>
    <message>
      <source>Reads {0} and {1}: is that this room?</source>
      <translation>Zeigt {0} und {1}: Ist das dieser Raum?</translation>
    </message>
    <message>
      <source>Take the plateau</source>
      <translation>Plateau nehmen</translation>
    </message>
    <message>
      <source>Take the baseline</source>
      <translation>Basislinie nehmen</translation>
    </message>
    <message>
      <source>Add {0} at {1}</source>
      <translation>{0} mit {1} zugeben</translation>
    </message>
    <message>
      <source>Warm the bath to {0}</source>
      <translation>Bad auf {0} erwärmen</translation>
    </message>
    <message>
      <source>Cool the bath to {0}</source>
      <translation>Bad auf {0} kühlen</translation>
    </message>
    <message>
      <source>Swirl the cell</source>
      <translation>Zelle schwenken</translation>
    </message>
    <message>
      <source>In the bath, stopper and valve shut; then keep it still.</source>
      <translation>Im Bad, Stopfen und Ventil zu; dann ruhig halten.</translation>
    </message>
    <message>
      <source>At the bench now: {0}. It happens as it was done then.</source>
      <translation>Am Platz jetzt: {0}. Es geschieht, wie es damals getan wurde.</translation>
    </message>
    <message>
      <source>{0}, {1}, steady for {2}</source>
      <translation>{0}, {1}, seit {2} ruhig</translation>
    </message>
    <message>
      <source>Inject {0}</source>
      <translation>{0} einspritzen</translation>
    </message>
    <message>
      <source>The cell will then be near {0}</source>
      <translation>Die Zelle ist dann bei etwa {0}</translation>
    </message>
    <message>
      <source>Keep still, {0}</source>
      <translation>Ruhig halten, {0}</translation>
    </message>
    <message>
      <source>Everything is in {0}.</source>
      <translation>Alles ist in {0}.</translation>
    </message>
    <message>
      <source>Take point {0}</source>
      <translation>Punkt {0} nehmen</translation>
    </message>
    <message>
      <source>First take {0} out of the bath.</source>
      <translation>Zuerst {0} aus dem Bad nehmen.</translation>
    </message>
    <message>
      <source>Brings the bath from {0} to {1}; stir slowly.</source>
      <translation>Bringt das Bad von {0} auf {1}; langsam rühren.</translation>
    </message>
    <message>
      <source>The bath well above the cell's shoulder. Then press Enter.</source>
      <translation>Das Bad deutlich über der Schulter der Zelle. Dann Eingabe drücken.</translation>
    </message>
    <message>
      <source>{0} kPa above the room</source>
      <translation>{0} kPa über Raumdruck</translation>
    </message>
    <message>
      <source>{0} kPa below the room</source>
      <translation>{0} kPa unter Raumdruck</translation>
    </message>
    <message>
      <source>The whole run</source>
      <translation>Der ganze Lauf</translation>
    </message>
    <message>
      <source>choose</source>
      <translation>wählen</translation>
    </message>
    <message>
      <source>Points by hand – satline</source>
      <translation>Punkte von Hand – satline</translation>
    </message>
    <message>
      <source>unit of temperature</source>
      <translation>Einheit der Temperatur</translation>
    </message>
    <message>
      <source>unit of pressure</source>
      <translation>Einheit des Drucks</translation>
    </message>
    <message>
      <source>liquid</source>
      <translation>Flüssigkeit</translation>
    </message>
    <message>
      <source>trapped air</source>
      <translation>eingeschlossene Luft</translation>
    </message>
    <message>
      <source>Points</source>
      <translation>Punkte</translation>
    </message>
    <message>
      <source>Points by hand</source>
      <translation>Punkte von Hand</translation>
    </message>
    <message>
      <source>Type or paste one point a row: temperature and total pressure, and their standard uncertainties where they are known. A decimal comma is as good as a point.</source>
      <translation>Je Zeile ein Punkt, eingetippt oder eingefügt: Temperatur und Gesamtdruck, dazu ihre Standardunsicherheiten, wo sie bekannt sind. Ein Komma ist so gut wie ein Punkt.</translation>
    </message>
    <message>
      <source>closed, dry cell before the charge:</source>
      <translation>geschlossene, trockene Zelle vor der Füllung:</translation>
    </message>
    <message>
      <source>Report</source>
      <translation>Bericht</translation>
    </message>
    <message>
      <source>Save the table</source>
      <translation>Tabelle speichern</translation>
    </message>
    <message>
      <source>unknown</source>
      <translation>unbekannt</translation>
    </message>
    <message>
      <source>Fit</source>
      <translation>Auswerten</translation>
    </message>
    <message>
      <source>Paste  Ctrl+V</source>
      <translation>Einfügen  Strg+V</translation>
    </message>
    <message>
      <source>More rows</source>
      <translation>Mehr Zeilen</translation>
    </message>
    <message>
      <source>Empty</source>
      <translation>Leeren</translation>
    </message>
    <message>
      <source>taken while</source>
      <translation>genommen beim</translation>
    </message>
    <message>
      <source>temperature in</source>
      <translation>Temperatur in</translation>
    </message>
    <message>
      <source>pressure in</source>
      <translation>Druck in</translation>
    </message>
    <message>
      <source>sealed baseline: {0}</source>
      <translation>geschlossene Basislinie: {0}</translation>
    </message>
    <message>
      <source>row {0}, taken while</source>
      <translation>Zeile {0}, genommen beim</translation>
    </message>
    <message>
      <source>warming</source>
      <translation>Erwärmen</translation>
    </message>
    <message>
      <source>cooling</source>
      <translation>Abkühlen</translation>
    </message>
    <message>
      <source>shut in: give the sealed baseline</source>
      <translation>eingeschlossen: geschlossene Basislinie angeben</translation>
    </message>
    <message>
      <source>none: pure vapour</source>
      <translation>keine: reiner Dampf</translation>
    </message>
    <message>
      <source>subtracted already</source>
      <translation>schon abgezogen</translation>
    </message>
    <message>
      <source>Choose the units of temperature and pressure; they are never guessed.</source>
      <translation>Die Einheiten von Temperatur und Druck wählen; sie werden nie geraten.</translation>
    </message>
    <message>
      <source>There is no point yet; type or paste temperatures and pressures, one point a row.</source>
      <translation>Es gibt noch keinen Punkt; Temperaturen und Drücke eingeben oder einfügen, je Zeile ein Punkt.</translation>
    </message>
    <message>
      <source>Give both uncertainties of every point, or none at all.</source>
      <translation>Für jeden Punkt beide Unsicherheiten angeben, oder für keinen.</translation>
    </message>
    <message>
      <source>Choose how the trapped air was treated; it is never guessed.</source>
      <translation>Wählen, wie die eingeschlossene Luft behandelt wurde; das wird nie geraten.</translation>
    </message>
    <message>
      <source>Give temperature and pressure of the closed, dry cell before the charge.</source>
      <translation>Temperatur und Druck der geschlossenen, trockenen Zelle vor der Füllung angeben.</translation>
    </message>
    <message>
      <source>Choose the liquid, or 'unknown'.</source>
      <translation>Die Flüssigkeit wählen, oder „unbekannt“.</translation>
    </message>
    <message>
      <source>Row {0} has no temperature or no pressure; give both or none.</source>
      <translation>In Zeile {0} fehlt die Temperatur oder der Druck; beide angeben oder keinen.</translation>
    </message>
    <message>
      <source>decide every run again on its traces</source>
      <translation>jeden Lauf an seinen Verläufen neu entscheiden</translation>
    </message>
    <message>
      <source>all benches in one room</source>
      <translation>alle Plätze in einem Raum</translation>
    </message>
    <message>
      <source>Stand out</source>
      <translation>Auffällig</translation>
    </message>
    <message>
      <source>All benches</source>
      <translation>Alle Plätze</translation>
    </message>
    <message>
      <source>One bench and its runs</source>
      <translation>Ein Platz und seine Läufe</translation>
    </message>
    <message>
      <source>Left out</source>
      <translation>Ausgelassen</translation>
    </message>
    <message>
      <source>Open a folder…</source>
      <translation>Ordner öffnen…</translation>
    </message>
    <message>
      <source>Stop</source>
      <translation>Anhalten</translation>
    </message>
    <message>
      <source>Benches</source>
      <translation>Plätze</translation>
    </message>
    <message>
      <source>Runs of the bench</source>
      <translation>Läufe des Platzes</translation>
    </message>
    <message>
      <source>Files left out</source>
      <translation>Ausgelassene Dateien</translation>
    </message>
    <message>
      <source>Look at this run</source>
      <translation>Diesen Lauf ansehen</translation>
    </message>
    <message>
      <source>Consensus of ΔvapH at 298.15 K</source>
      <translation>Gemeinsamer Wert von ΔvapH bei 298,15 K</translation>
    </message>
    <message>
      <source>By simpler means, in kJ/mol</source>
      <translation>Auf einfachere Art, in kJ/mol</translation>
    </message>
    <message>
      <source>Precision of the method, in kJ/mol</source>
      <translation>Präzision des Verfahrens, in kJ/mol</translation>
    </message>
    <message>
      <source>What no single run can see</source>
      <translation>Was kein einzelner Lauf sehen kann</translation>
    </message>
    <message>
      <source>Pool again</source>
      <translation>Neu zusammenfassen</translation>
    </message>
    <message>
      <source>enthalpy of vaporisation at 298.15 K / (kJ/mol)</source>
      <translation>Verdampfungsenthalpie bei 298,15 K / (kJ/mol)</translation>
    </message>
    <message>
      <source>Every bench beside the consensus</source>
      <translation>Jeder Platz neben dem gemeinsamen Wert</translation>
    </message>
    <message>
      <source>run by run, oldest first</source>
      <translation>Lauf für Lauf, der älteste zuerst</translation>
    </message>
    <message>
      <source>Control chart</source>
      <translation>Regelkarte</translation>
    </message>
    <message>
      <source>result / (kJ/mol)</source>
      <translation>Ergebnis / (kJ/mol)</translation>
    </message>
    <message>
      <source>bench</source>
      <translation>Platz</translation>
    </message>
    <message>
      <source>runs</source>
      <translation>Läufe</translation>
    </message>
    <message>
      <source>mean / (kJ/mol)</source>
      <translation>Mittel / (kJ/mol)</translation>
    </message>
    <message>
      <source>u / (kJ/mol)</source>
      <translation>u / (kJ/mol)</translation>
    </message>
    <message>
      <source>scatter / (kJ/mol)</source>
      <translation>Streuung / (kJ/mol)</translation>
    </message>
    <message>
      <source>z</source>
      <translation>z</translation>
    </message>
    <message>
      <source>ζ</source>
      <translation>ζ</translation>
    </message>
    <message>
      <source>Eₙ</source>
      <translation>Eₙ</translation>
    </message>
    <message>
      <source>h</source>
      <translation>h</translation>
    </message>
    <message>
      <source>k</source>
      <translation>k</translation>
    </message>
    <message>
      <source>remarks</source>
      <translation>Bemerkungen</translation>
    </message>
    <message>
      <source>day</source>
      <translation>Tag</translation>
    </message>
    <message>
      <source>file</source>
      <translation>Datei</translation>
    </message>
    <message>
      <source>reason</source>
      <translation>Grund</translation>
    </message>
    <message>
      <source>No bench stands out from the others.</source>
      <translation>Kein Platz fällt aus dem Rahmen der anderen.</translation>
    </message>
    <message>
      <source>Looking through the folder…</source>
      <translation>Der Ordner wird durchgesehen…</translation>
    </message>
    <message>
      <source>{0} run</source>
      <translation>{0} Lauf</translation>
    </message>
    <message>
      <source>{0} runs</source>
      <translation>{0} Läufe</translation>
    </message>
    <message>
      <source>{0} bench</source>
      <translation>{0} Platz</translation>
    </message>
    <message>
      <source>{0} benches</source>
      <translation>{0} Plätze</translation>
    </message>
    <message>
      <source>under one in a million</source>
      <translation>unter eins zu einer Million</translation>
    </message>
    <message>
      <source>A table of results holds no points: benches cannot be compared by their curves.</source>
      <translation>Eine Tabelle von Ergebnissen enthält keine Punkte: Plätze lassen sich nicht an ihren Kurven vergleichen.</translation>
    </message>
    <message>
      <source>{0} of {1} files</source>
      <translation>{0} von {1} Dateien</translation>
    </message>
    <message>
      <source>all simulated</source>
      <translation>alle simuliert</translation>
    </message>
    <message>
      <source>{0} file left out</source>
      <translation>{0} Datei ausgelassen</translation>
    </message>
    <message>
      <source>{0} files left out</source>
      <translation>{0} Dateien ausgelassen</translation>
    </message>
    <message>
      <source>plain average</source>
      <translation>einfaches Mittel</translation>
    </message>
    <message>
      <source>weighted, taken as independent</source>
      <translation>gewichtet, als unabhängig</translation>
    </message>
    <message>
      <source>repeatability, runs of one bench</source>
      <translation>Wiederholbarkeit, Läufe eines Platzes</translation>
    </message>
    <message>
      <source>between benches</source>
      <translation>zwischen den Plätzen</translation>
    </message>
    <message>
      <source>reproducibility, runs of any bench</source>
      <translation>Vergleichbarkeit, Läufe aller Plätze</translation>
    </message>
    <message>
      <source>The points follow the share of air, as if each cell held {0} % of air more than its inputs say ({1} % to {2} %): look at humidity, volumes and the way of closing the cell.</source>
      <translation>Die Punkte folgen dem Anteil der Luft, als enthielte jede Zelle {0} % mehr Luft, als die Eingaben sagen ({1} % bis {2} %): Feuchte, Volumen und die Art des Verschließens ansehen.</translation>
    </message>
    <message>
      <source>{0} signal on its chart</source>
      <translation>{0} Signal auf seiner Karte</translation>
    </message>
    <message>
      <source>{0} signals on its chart</source>
      <translation>{0} Signale auf seiner Karte</translation>
    </message>
    <message>
      <source>air: {0}</source>
      <translation>Luft: {0}</translation>
    </message>
    <message>
      <source>with the benches that stand out</source>
      <translation>mit den auffälligen Plätzen</translation>
    </message>
    <message>
      <source>table value</source>
      <translation>Tabellenwert</translation>
    </message>
    <message>
      <source>An error of the air that all benches have in common lies between {0} % and {1} %.</source>
      <translation>Ein Fehler der Luft, den alle Plätze gemeinsam haben, liegt zwischen {0} % und {1} %.</translation>
    </message>
    <message>
      <source>{0} known from before</source>
      <translation>{0} schon bekannt</translation>
    </message>
    <message>
      <source>{0} left out</source>
      <translation>{0} ausgelassen</translation>
    </message>
    <message>
      <source>{0}, pooled</source>
      <translation>{0}, zusammengefasst</translation>
    </message>
    <message>
      <source>95 % interval {0} to {1} kJ/mol</source>
      <translation>95-%-Intervall {0} bis {1} kJ/mol</translation>
    </message>
    <message>
      <source>Another run on another bench: {0} to {1} kJ/mol in 95 of 100 cases, its own noise apart</source>
      <translation>Ein weiterer Lauf an einem anderen Platz: {0} bis {1} kJ/mol in 95 von 100 Fällen, ohne sein eigenes Rauschen</translation>
    </message>
    <message>
      <source>changes by {0} kJ/mol a year</source>
      <translation>ändert sich um {0} kJ/mol im Jahr</translation>
    </message>
    <message>
      <source>It could also be: {0}.</source>
      <translation>Es könnte auch sein: {0}.</translation>
    </message>
    <message>
      <source>Chance of this in a campaign without any fault: {0}.</source>
      <translation>Wahrscheinlichkeit dafür, wenn kein Platz einen Fehler hat: {0}.</translation>
    </message>
    <message>
      <source>Many runs – satline</source>
      <translation>Viele Läufe – satline</translation>
    </message>
    <message>
      <source>A folder of run files</source>
      <translation>Ein Ordner mit Laufdateien</translation>
    </message>
    <message>
      <source>Many runs together</source>
      <translation>Viele Läufe zusammen</translation>
    </message>
    <message>
      <source>Open a folder of run files: every run is read once, compared with all others, and pooled.</source>
      <translation>Einen Ordner mit Laufdateien öffnen: Jeder Lauf wird einmal gelesen, mit allen anderen verglichen und zusammengefasst.</translation>
    </message>
    <message>
      <source>Pooling broke off; try satline pool in a terminal, which says more.</source>
      <translation>Das Zusammenfassen brach ab; satline pool in einem Terminal sagt mehr.</translation>
    </message>
    <message>
      <source>Stopping after the files that are being read…</source>
      <translation>Es endet nach den Dateien, die gerade gelesen werden…</translation>
    </message>
    <message>
      <source>has no serial number and looks like {others}: told apart only by the socket, so leave each in its own</source>
      <translation>hat keine Seriennummer und sieht aus wie {others}: zu unterscheiden nur an der Buchse; jedes in seiner lassen</translation>
    </message>
    <message>
      <source>gathers bytes for {milliseconds} ms before it hands them on; for finer times run  {command}</source>
      <translation>sammelt Bytes {milliseconds} ms lang, bevor es sie weitergibt; für feinere Zeiten hilft  {command}</translation>
    </message>
    <message>
      <source>the braille driver brltty may take this device away a few seconds after plugging in; people who read braille need it, so do not remove it unasked: version 6.5 and later leave such devices alone</source>
      <translation>der Treiber brltty für Braillezeilen nimmt dieses Gerät womöglich wenige Sekunden nach dem Einstecken weg; wer Braille liest, braucht ihn, also nicht ungefragt entfernen: ab Version 6.5 lässt er solche Geräte in Ruhe</translation>
    </message>
    <message>
      <source>ModemManager may send bytes to it after plugging in; a udev rule keeps it off:  {rule}</source>
      <translation>ModemManager schickt ihm womöglich nach dem Einstecken Bytes; eine udev-Regel hält ihn fern:  {rule}</translation>
    </message>
    <message>
      <source>{port} has gone; expected it to stay plugged in; look at the cable</source>
      <translation>{port} ist verschwunden; es sollte eingesteckt bleiben; nach dem Kabel sehen</translation>
    </message>
    <message>
      <source>in use by {user}; expected it to be free; close that program</source>
      <translation>in Gebrauch von {user}; es sollte frei sein; dieses Programm schließen</translation>
    </message>
    <message>
      <source>not permitted; {way}</source>
      <translation>nicht erlaubt; {way}</translation>
    </message>
    <message>
      <source>expected membership of group {group}; run  {command}  then log out and in again</source>
      <translation>nötig ist die Mitgliedschaft in der Gruppe {group}; dazu  {command}  ausführen, dann ab- und wieder anmelden</translation>
    </message>
    <message>
      <source>expected read and write permission; ask whoever administers this machine</source>
      <translation>nötig ist das Recht zu lesen und zu schreiben; fragen Sie, wer diesen Rechner betreut</translation>
    </message>
    <message>
      <source>clock</source>
      <translation>Uhr</translation>
    </message>
    <message>
      <source>counter</source>
      <translation>Zähler</translation>
    </message>
    <message>
      <source>Water poured in, millilitres</source>
      <translation>Eingegossenes Wasser, Milliliter</translation>
    </message>
    <message>
      <source>Temperature of that water, degrees Celsius</source>
      <translation>Temperatur dieses Wassers, Grad Celsius</translation>
    </message>
    <message>
      <source>Procedure</source>
      <translation>Ablauf</translation>
    </message>
    <message>
      <source>Set up</source>
      <translation>Vorbereiten</translation>
    </message>
    <message>
      <source>Room baseline</source>
      <translation>Basislinie Raum</translation>
    </message>
    <message>
      <source>Soak in the bath</source>
      <translation>Im Bad ruhen</translation>
    </message>
    <message>
      <source>Leak check</source>
      <translation>Dichtheitsprüfung</translation>
    </message>
    <message>
      <source>Sealed baseline</source>
      <translation>Basislinie geschlossen</translation>
    </message>
    <message>
      <source>Charge</source>
      <translation>Füllen</translation>
    </message>
    <message>
      <source>Plateaus</source>
      <translation>Plateaus</translation>
    </message>
    <message>
      <source>Return point</source>
      <translation>Rückkehrpunkt</translation>
    </message>
    <message>
      <source>Vent, then lift out the cell</source>
      <translation>Belüften, dann Zelle herausheben</translation>
    </message>
    <message>
      <source>Run closed</source>
      <translation>Lauf geschlossen</translation>
    </message>
    <message>
      <source>{0} step done</source>
      <translation>{0} Schritt erledigt</translation>
    </message>
    <message>
      <source>{0} steps done</source>
      <translation>{0} Schritte erledigt</translation>
    </message>
    <message>
      <source>{0} more step</source>
      <translation>{0} weiterer Schritt</translation>
    </message>
    <message>
      <source>{0} more steps</source>
      <translation>{0} weitere Schritte</translation>
    </message>
    <message>
      <source>{0} cell</source>
      <translation>Zelle {0}</translation>
    </message>
    <message>
      <source>{0} charge</source>
      <translation>Füllung {0}</translation>
    </message>
    <message>
      <source>limit {0}</source>
      <translation>Grenze {0}</translation>
    </message>
    <message>
      <source>Return point: cool to {0}</source>
      <translation>Rückkehrpunkt: auf {0} kühlen</translation>
    </message>
    <message>
      <source>{0}: to {1}</source>
      <translation>{0}: auf {1}</translation>
    </message>
    <message>
      <source>Plateau {0}</source>
      <translation>Plateau {0}</translation>
    </message>
    <message>
      <source>{0} plateau</source>
      <translation>{0} Plateau</translation>
    </message>
    <message>
      <source>{0} plateaus</source>
      <translation>{0} Plateaus</translation>
    </message>
    <message>
      <source>{0} more plateau</source>
      <translation>{0} weiteres Plateau</translation>
    </message>
    <message>
      <source>{0} more plateaus</source>
      <translation>{0} weitere Plateaus</translation>
    </message>
    <message>
      <source>{0} ({1} to {2}) {3}</source>
      <translation>{0} ({1} bis {2}) {3}</translation>
    </message>
    <message>
      <source>level</source>
      <translation>ruhig</translation>
    </message>
    <message>
      <source>easing</source>
      <translation>beruhigt</translation>
    </message>
    <message>
      <source>moving</source>
      <translation>bewegt</translation>
    </message>
    <message>
      <source>Bath temperature</source>
      <translation>Badtemperatur</translation>
    </message>
    <message>
      <source>Cell pressure</source>
      <translation>Zelldruck</translation>
    </message>
    <message>
      <source>no reading yet</source>
      <translation>noch kein Wert</translation>
    </message>
    <message>
      <source>last reading</source>
      <translation>letzter Wert</translation>
    </message>
    <message>
      <source>nothing more to come</source>
      <translation>nichts mehr zu erwarten</translation>
    </message>
    <message>
      <source>no reading for {0}</source>
      <translation>kein Wert seit {0}</translation>
    </message>
    <message>
      <source>level any moment</source>
      <translation>gleich ruhig</translation>
    </message>
    <message>
      <source>still to come {0}</source>
      <translation>noch zu erwarten {0}</translation>
    </message>
    <message>
      <source>level in {0}</source>
      <translation>ruhig in {0}</translation>
    </message>
    <message>
      <source>the reason, then Return</source>
      <translation>der Grund, dann Eingabe</translation>
    </message>
    <message>
      <source>Rehearsal</source>
      <translation>Probelauf</translation>
    </message>
    <message>
      <source>R&amp;ehearsal</source>
      <translation>Probela&amp;uf</translation>
    </message>
    <message>
      <source>Pause  P</source>
      <translation>Pause  P</translation>
    </message>
    <message>
      <source>Pause, or go on</source>
      <translation>Pause, oder weiter</translation>
    </message>
    <message>
      <source>Time runs faster</source>
      <translation>Zeit läuft schneller</translation>
    </message>
    <message>
      <source>Time runs slower</source>
      <translation>Zeit läuft langsamer</translation>
    </message>
    <message>
      <source>paused</source>
      <translation>Pause</translation>
    </message>
    <message>
      <source>Go on  P</source>
      <translation>Weiter  P</translation>
    </message>
    <message>
      <source>{0} × time</source>
      <translation>{0} × Zeit</translation>
    </message>
    <message>
      <source>Why is {0} s to {1} s taken as a point?</source>
      <translation>Warum wird {0} s bis {1} s als Punkt genommen?</translation>
    </message>
    <message>
      <source>Why is the window of point {0} changed?</source>
      <translation>Warum wird das Fenster von Punkt {0} geändert?</translation>
    </message>
    <message>
      <source>{0} entries were appended to the file; what was there is unchanged.</source>
      <translation>{0} Einträge wurden an die Datei angehängt; was da war, ist unverändert.</translation>
    </message>
    <message>
      <source>{0} figures were written to {1}.</source>
      <translation>{0} Abbildungen wurden in {1} geschrieben.</translation>
    </message>
    <message>
      <source>Why is point {0} set aside?</source>
      <translation>Warum wird Punkt {0} verworfen?</translation>
    </message>
    <message>
      <source>Why is point {0} used again?</source>
      <translation>Warum wird Punkt {0} wieder verwendet?</translation>
    </message>
    <message>
      <source>Why is point {0} split?</source>
      <translation>Warum wird Punkt {0} geteilt?</translation>
    </message>
    <message>
      <source>Findings</source>
      <translation>Befunde</translation>
    </message>
    <message>
      <source>Show: {0}</source>
      <translation>Zeigen: {0}</translation>
    </message>
    <message>
      <source>No interval</source>
      <translation>Kein Intervall</translation>
    </message>
    <message>
      <source>Doubt</source>
      <translation>Zweifel</translation>
    </message>
    <message>
      <source>point {0}</source>
      <translation>Punkt {0}</translation>
    </message>
    <message>
      <source>points {0}</source>
      <translation>Punkte {0}</translation>
    </message>
    <message>
      <source>{0} to {1}</source>
      <translation>{0} bis {1}</translation>
    </message>
    <message>
      <source>This second</source>
      <translation>Sekunde</translation>
    </message>
    <message>
      <source>What if</source>
      <translation>Was wäre</translation>
    </message>
    <message>
      <source>Journal</source>
      <translation>Journal</translation>
    </message>
    <message>
      <source>Set aside  ⌫</source>
      <translation>Verwerfen  ⌫</translation>
    </message>
    <message>
      <source>Use again</source>
      <translation>Wieder verwenden</translation>
    </message>
    <message>
      <source>Split at cursor</source>
      <translation>Am Zeiger teilen</translation>
    </message>
    <message>
      <source>Take what is shown</source>
      <translation>Gezeigtes nehmen</translation>
    </message>
    <message>
      <source>Undo  Ctrl+Z</source>
      <translation>Rückgängig  Strg+Z</translation>
    </message>
    <message>
      <source>Save edits  Ctrl+S</source>
      <translation>Änderungen sichern  Strg+S</translation>
    </message>
    <message>
      <source>Report  Ctrl+R</source>
      <translation>Bericht  Strg+R</translation>
    </message>
    <message>
      <source>Figures</source>
      <translation>Abbildungen</translation>
    </message>
    <message>
      <source>time</source>
      <translation>Zeit</translation>
    </message>
    <message>
      <source>who</source>
      <translation>wer</translation>
    </message>
    <message>
      <source>what</source>
      <translation>was</translation>
    </message>
    <message>
      <source>details</source>
      <translation>Einzelheiten</translation>
    </message>
    <message>
      <source>point</source>
      <translation>Punkt</translation>
    </message>
    <message>
      <source>while</source>
      <translation>während</translation>
    </message>
    <message>
      <source>p / kPa</source>
      <translation>p / kPa</translation>
    </message>
    <message>
      <source>vapour / kPa</source>
      <translation>Dampf / kPa</translation>
    </message>
    <message>
      <source>lag / K</source>
      <translation>Nachlauf / K</translation>
    </message>
    <message>
      <source>line, equal scatter</source>
      <translation>Gerade, gleiche Streuung</translation>
    </message>
    <message>
      <source>line, known uncertainties</source>
      <translation>Gerade, bekannte Unsicherheiten</translation>
    </message>
    <message>
      <source>line, relative uncertainties</source>
      <translation>Gerade, relative Unsicherheiten</translation>
    </message>
    <message>
      <source>line, both axes uncertain</source>
      <translation>Gerade, beide Achsen unsicher</translation>
    </message>
    <message>
      <source>full fit, warming only</source>
      <translation>volle Auswertung, nur Erwärmen</translation>
    </message>
    <message>
      <source>full fit, cooling only</source>
      <translation>volle Auswertung, nur Abkühlen</translation>
    </message>
    <message>
      <source>{0} kJ/mol, 95 % interval {1} to {2}</source>
      <translation>{0} kJ/mol, 95-%-Intervall {1} bis {2}</translation>
    </message>
    <message>
      <source>Traces of the stored run</source>
      <translation>Messkurven des gespeicherten Laufs</translation>
    </message>
    <message>
      <source>charge</source>
      <translation>Füllung</translation>
    </message>
    <message>
      <source>tubing</source>
      <translation>Schlauch</translation>
    </message>
    <message>
      <source>u of the thermometer's offset</source>
      <translation>u des Thermometer-Nullpunkts</translation>
    </message>
    <message>
      <source>u of the sensor's offset</source>
      <translation>u des Sensor-Nullpunkts</translation>
    </message>
    <message>
      <source>u of the thermometer's gain</source>
      <translation>u der Steigung des Thermometers</translation>
    </message>
    <message>
      <source>u of the sensor's gain</source>
      <translation>u der Steigung des Drucksensors</translation>
    </message>
    <message>
      <source>no result</source>
      <translation>kein Ergebnis</translation>
    </message>
    <message>
      <source>bath temperature</source>
      <translation>Badtemperatur</translation>
    </message>
    <message>
      <source>cell pressure</source>
      <translation>Zelldruck</translation>
    </message>
    <message>
      <source>settling</source>
      <translation>Einstellen</translation>
    </message>
    <message>
      <source>lag</source>
      <translation>Nachlauf</translation>
    </message>
    <message>
      <source>drift of the bath</source>
      <translation>Drift des Bads</translation>
    </message>
    <message>
      <source>tolerance</source>
      <translation>Toleranz</translation>
    </message>
    <message>
      <source>plateau</source>
      <translation>Plateau</translation>
    </message>
    <message>
      <source>ready</source>
      <translation>bereit</translation>
    </message>
    <message>
      <source>against a plateau</source>
      <translation>gegen ein Plateau</translation>
    </message>
    <message>
      <source>room baseline</source>
      <translation>Basislinie Raum</translation>
    </message>
    <message>
      <source>sealed baseline</source>
      <translation>Basislinie geschlossen</translation>
    </message>
    <message>
      <source>{0} kJ/mol, no interval is given</source>
      <translation>{0} kJ/mol, kein Intervall möglich</translation>
    </message>
    <message>
      <source>the run is being decided again up to here: {0} %</source>
      <translation>der Lauf wird bis hierher neu entschieden: {0} %</translation>
    </message>
    <message>
      <source>still to come {0} ± {1} {2}</source>
      <translation>noch zu erwarten {0} ± {1} {2}</translation>
    </message>
    <message>
      <source>{0} level in</source>
      <translation>{0} ruhig in</translation>
    </message>
    <message>
      <source>checking the file</source>
      <translation>Datei wird geprüft</translation>
    </message>
    <message>
      <source>None of the tests on these points found anything.</source>
      <translation>Keine der Prüfungen dieser Punkte hat etwas gefunden.</translation>
    </message>
    <message>
      <source>still being recorded: to look at only</source>
      <translation>wird noch aufgezeichnet: nur zum Ansehen</translation>
    </message>
    <message>
      <source>deciding …</source>
      <translation>wird entschieden …</translation>
    </message>
    <message>
      <source>There are edits that are not saved: Ctrl+S keeps them, closing again leaves them out.</source>
      <translation>Es gibt ungesicherte Änderungen: Strg+S behält sie, nochmaliges Schließen lässt sie weg.</translation>
    </message>
    <message>
      <source>Findings ({0})</source>
      <translation>Befunde ({0})</translation>
    </message>
    <message>
      <source>to read only</source>
      <translation>nur zum Lesen</translation>
    </message>
    <message>
      <source>{0} ({1} points)</source>
      <translation>{0} ({1} Punkte)</translation>
    </message>
    <message>
      <source>deciding again: {0} %</source>
      <translation>neu entscheiden: {0} %</translation>
    </message>
    <message>
      <source>edits not saved</source>
      <translation>Änderungen nicht gesichert</translation>
    </message>
    <message>
      <source>Points cannot be edited: {0}.</source>
      <translation>Punkte können nicht geändert werden: {0}.</translation>
    </message>
    <message>
      <source>A calm first run</source>
      <translation>Ein ruhiger erster Lauf</translation>
    </message>
    <message>
      <source>n-Heptane in a 140 mL cell, a half-litre bath that cools slowly, sensors that behave. Nothing goes wrong.</source>
      <translation>n-Heptan in einer Zelle von 140 mL, ein langsam abkühlendes Bad von einem halben Liter, brave Sensoren. Nichts geht schief.</translation>
    </message>
    <message>
      <source>Something is wrong (1)</source>
      <translation>Etwas stimmt nicht (1)</translation>
    </message>
    <message>
      <source>n-Heptane on an ordinary day. One thing is not as it should be.</source>
      <translation>n-Heptan an einem gewöhnlichen Tag. Eines ist nicht, wie es sein sollte.</translation>
    </message>
    <message>
      <source>Something is wrong (2)</source>
      <translation>Etwas stimmt nicht (2)</translation>
    </message>
    <message>
      <source>Cyclohexane on an ordinary day. Two things are not as they should be.</source>
      <translation>Cyclohexan an einem gewöhnlichen Tag. Zweierlei ist nicht, wie es sein sollte.</translation>
    </message>
    <message>
      <source>Something is wrong (3)</source>
      <translation>Etwas stimmt nicht (3)</translation>
    </message>
    <message>
      <source>Ethanol on an ordinary day. Two things are not as they should be, one of them early.</source>
      <translation>Ethanol an einem gewöhnlichen Tag. Zweierlei ist nicht, wie es sein sollte, eines davon früh.</translation>
    </message>
    <message>
      <source>Something is wrong (4)</source>
      <translation>Etwas stimmt nicht (4)</translation>
    </message>
    <message>
      <source>n-Heptane on an ordinary day. Two things are not as they should be, and they have nothing to do with each other.</source>
      <translation>n-Heptan an einem gewöhnlichen Tag. Zweierlei ist nicht, wie es sein sollte, und es hat nichts miteinander zu tun.</translation>
    </message>
    <message>
      <source>Something is wrong (5)</source>
      <translation>Etwas stimmt nicht (5)</translation>
    </message>
    <message>
      <source>n-Hexane on an ordinary day. Several things are not as they should be.</source>
      <translation>n-Hexan an einem gewöhnlichen Tag. Mehreres ist nicht, wie es sein sollte.</translation>
    </message>
    <message>
      <source>A brisk run</source>
      <translation>Ein flotter Lauf</translation>
    </message>
    <message>
      <source>Ethanol, three big warm steps, a person who does not wait to be asked twice. Nothing goes wrong but haste.</source>
      <translation>Ethanol, drei große warme Schritte, jemand, der sich nicht zweimal bitten lässt. Nichts geht schief außer der Eile.</translation>
    </message>
    <message>
      <source>A cold, draughty room</source>
      <translation>Ein kalter, zugiger Raum</translation>
    </message>
    <message>
      <source>Cyclohexane in an unheated room: the bath drifts fast and unevenly, the neck of the cell is cold.</source>
      <translation>Cyclohexan in einem ungeheizten Raum: Das Bad driftet schnell und ungleichmäßig, der Hals der Zelle ist kalt.</translation>
    </message>
    <message>
      <source>A hot day</source>
      <translation>Ein heißer Tag</translation>
    </message>
    <message>
      <source>n-Heptane at 28.5 °C: little span below the bath limit, a sensor that is still warming up, humid air.</source>
      <translation>n-Heptan bei 28,5 °C: wenig Spanne unter der Badgrenze, ein Sensor, der noch warm wird, feuchte Luft.</translation>
    </message>
    <message>
      <source>A seal that leaks</source>
      <translation>Eine undichte Dichtung</translation>
    </message>
    <message>
      <source>n-Heptane; the seal lets the over-pressure go with an e-fold of three hours, from the moment the valve is closed.</source>
      <translation>n-Heptan; die Dichtung lässt den Überdruck entweichen, in drei Stunden auf den e-ten Teil, von dem Moment an, in dem das Ventil geschlossen ist.</translation>
    </message>
    <message>
      <source>The stopper lifts</source>
      <translation>Der Stopfen hebt sich</translation>
    </message>
    <message>
      <source>n-Hexane warmed further than the stopper holds: it lifts near 24 kPa over the room and falls back, and the air is gone.</source>
      <translation>n-Hexan, weiter erwärmt, als der Stopfen hält: Bei etwa 24 kPa über Raumdruck hebt er sich und fällt zurück, und die Luft ist weg.</translation>
    </message>
    <message>
      <source>A slow flask</source>
      <translation>Ein langsamer Kolben</translation>
    </message>
    <message>
      <source>n-Hexane in thick glass; a fifth of the vapour space exchanges slowly. The last tenth of a kilopascal takes its time.</source>
      <translation>n-Hexan in dickem Glas; ein Fünftel des Dampfraums tauscht sich langsam aus. Das letzte Zehntel Kilopascal lässt sich Zeit.</translation>
    </message>
    <message>
      <source>Wet hands</source>
      <translation>Nasse Hände</translation>
    </message>
    <message>
      <source>n-Heptane; the cell slips out of the bath once, the probe once, and once the hot water runs straight onto the probe.</source>
      <translation>n-Heptan; einmal rutscht die Zelle aus dem Bad, einmal der Fühler, und einmal läuft das heiße Wasser direkt auf den Fühler.</translation>
    </message>
    <message>
      <source>water</source>
      <translation>Wasser</translation>
    </message>
    <message>
      <source>methanol</source>
      <translation>Methanol</translation>
    </message>
    <message>
      <source>ethanol</source>
      <translation>Ethanol</translation>
    </message>
    <message>
      <source>propan-1-ol</source>
      <translation>Propan-1-ol</translation>
    </message>
    <message>
      <source>propan-2-ol</source>
      <translation>Propan-2-ol</translation>
    </message>
    <message>
      <source>butan-1-ol</source>
      <translation>Butan-1-ol</translation>
    </message>
    <message>
      <source>butan-2-ol</source>
      <translation>Butan-2-ol</translation>
    </message>
    <message>
      <source>2-methylpropan-2-ol</source>
      <translation>2-Methylpropan-2-ol</translation>
    </message>
    <message>
      <source>acetone</source>
      <translation>Aceton</translation>
    </message>
    <message>
      <source>butanone</source>
      <translation>Butanon</translation>
    </message>
    <message>
      <source>methyl acetate</source>
      <translation>Methylacetat</translation>
    </message>
    <message>
      <source>ethyl acetate</source>
      <translation>Ethylacetat</translation>
    </message>
    <message>
      <source>propyl acetate</source>
      <translation>Propylacetat</translation>
    </message>
    <message>
      <source>dimethyl carbonate</source>
      <translation>Dimethylcarbonat</translation>
    </message>
    <message>
      <source>n-pentane</source>
      <translation>n-Pentan</translation>
    </message>
    <message>
      <source>2-methylbutane</source>
      <translation>2-Methylbutan</translation>
    </message>
    <message>
      <source>n-hexane</source>
      <translation>n-Hexan</translation>
    </message>
    <message>
      <source>2-methylpentane</source>
      <translation>2-Methylpentan</translation>
    </message>
    <message>
      <source>n-heptane</source>
      <translation>n-Heptan</translation>
    </message>
    <message>
      <source>n-octane</source>
      <translation>n-Octan</translation>
    </message>
    <message>
      <source>2,2,4-trimethylpentane</source>
      <translation>2,2,4-Trimethylpentan</translation>
    </message>
    <message>
      <source>n-nonane</source>
      <translation>n-Nonan</translation>
    </message>
    <message>
      <source>cyclopentane</source>
      <translation>Cyclopentan</translation>
    </message>
    <message>
      <source>cyclohexane</source>
      <translation>Cyclohexan</translation>
    </message>
    <message>
      <source>methylcyclohexane</source>
      <translation>Methylcyclohexan</translation>
    </message>
    <message>
      <source>benzene</source>
      <translation>Benzol</translation>
    </message>
    <message>
      <source>toluene</source>
      <translation>Toluol</translation>
    </message>
    <message>
      <source>ethylbenzene</source>
      <translation>Ethylbenzol</translation>
    </message>
    <message>
      <source>p-xylene</source>
      <translation>p-Xylol</translation>
    </message>
    <message>
      <source>diethyl ether</source>
      <translation>Diethylether</translation>
    </message>
    <message>
      <source>tert-butyl methyl ether</source>
      <translation>tert-Butylmethylether</translation>
    </message>
    <message>
      <source>tetrahydrofuran</source>
      <translation>Tetrahydrofuran</translation>
    </message>
    <message>
      <source>1,4-dioxane</source>
      <translation>1,4-Dioxan</translation>
    </message>
    <message>
      <source>dichloromethane</source>
      <translation>Dichlormethan</translation>
    </message>
    <message>
      <source>chloroform</source>
      <translation>Chloroform</translation>
    </message>
    <message>
      <source>1,2-dichloroethane</source>
      <translation>1,2-Dichlorethan</translation>
    </message>
    <message>
      <source>trichloroethylene</source>
      <translation>Trichlorethen</translation>
    </message>
    <message>
      <source>acetonitrile</source>
      <translation>Acetonitril</translation>
    </message>
    <message>
      <source>satline, a new run</source>
      <translation>satline, ein neuer Lauf</translation>
    </message>
    <message>
      <source>The usual plan</source>
      <translation>Der übliche Plan</translation>
    </message>
    <message>
      <source>Look for devices again  F5</source>
      <translation>Geräte neu suchen  F5</translation>
    </message>
    <message>
      <source>Unknown device: listen to it  F6</source>
      <translation>Unbekanntes Gerät: hineinhören  F6</translation>
    </message>
    <message>
      <source>I have read this</source>
      <translation>Ich habe das gelesen</translation>
    </message>
    <message>
      <source>Language</source>
      <translation>Sprache</translation>
    </message>
    <message>
      <source>Listening broke off; try satline listen in a terminal.</source>
      <translation>Das Hineinhören brach ab; satline listen im Terminal versuchen.</translation>
    </message>
    <message>
      <source>A run plan</source>
      <translation>Ein Laufplan</translation>
    </message>
    <message>
      <source>Start recording</source>
      <translation>Aufzeichnung beginnen</translation>
    </message>
    <message>
      <source>Another, by its address</source>
      <translation>Ein anderes, nach Adresse</translation>
    </message>
    <message>
      <source>Listening; this takes some seconds…</source>
      <translation>Höre hinein; das dauert einige Sekunden…</translation>
    </message>
    <message>
      <source>Opening…</source>
      <translation>Wird geöffnet…</translation>
    </message>
    <message>
      <source>A new run</source>
      <translation>Ein neuer Lauf</translation>
    </message>
    <message>
      <source>Device</source>
      <translation>Gerät</translation>
    </message>
    <message>
      <source>Address</source>
      <translation>Adresse</translation>
    </message>
    <message>
      <source>It speaks</source>
      <translation>Es spricht</translation>
    </message>
    <message>
      <source>Clock</source>
      <translation>Uhr</translation>
    </message>
    <message>
      <source>Run</source>
      <translation>Lauf</translation>
    </message>
    <message>
      <source>Liquid</source>
      <translation>Flüssigkeit</translation>
    </message>
    <message>
      <source>Plan</source>
      <translation>Plan</translation>
    </message>
    <message>
      <source>This bench</source>
      <translation>Dieser Platz</translation>
    </message>
    <message>
      <source>satline controls nothing and is not a safety device.</source>
      <translation>satline steuert nichts und ist keine Sicherheitseinrichtung.</translation>
    </message>
    <message>
      <source>It does not know what your cell, stopper and tubing withstand.</source>
      <translation>Es weiß nicht, was Ihre Zelle, Ihr Stopfen und Ihre Schläuche aushalten.</translation>
    </message>
    <message>
      <source>Eye protection on; no flames or sparks; warm with water only; the room aired; the glass looked over.</source>
      <translation>Schutzbrille auf; keine Flammen oder Funken; nur mit Wasser erwärmen; Raum gelüftet; Glas angesehen.</translation>
    </message>
    <message>
      <source>The safety data sheet of the liquid, your local rules and the person in charge decide.</source>
      <translation>Das Sicherheitsdatenblatt der Flüssigkeit, örtliche Regeln und die verantwortliche Person entscheiden.</translation>
    </message>
    <message>
      <source>Choose a device, or the simulated bench.</source>
      <translation>Ein Gerät wählen oder den simulierten Platz.</translation>
    </message>
    <message>
      <source>real time</source>
      <translation>Echtzeit</translation>
    </message>
    <message>
      <source>Say how this device speaks: choose its profile.</source>
      <translation>Sagen, wie dieses Gerät spricht: sein Profil wählen.</translation>
    </message>
    <message>
      <source>Confirm the cautions first; once is enough.</source>
      <translation>Zuerst die Hinweise bestätigen; einmal genügt.</translation>
    </message>
    <message>
      <source>{0} times real time</source>
      <translation>{0}-fache Echtzeit</translation>
    </message>
    <message>
      <source>Recording</source>
      <translation>Aufzeichnung</translation>
    </message>
    <message>
      <source>Sound on  M</source>
      <translation>Ton an  M</translation>
    </message>
    <message>
      <source>Sound off  M</source>
      <translation>Ton aus  M</translation>
    </message>
    <message>
      <source>no file</source>
      <translation>keine Datei</translation>
    </message>
    <message>
      <source>{0} reading</source>
      <translation>{0} Messwert</translation>
    </message>
    <message>
      <source>{0} readings</source>
      <translation>{0} Messwerte</translation>
    </message>
    <message>
      <source>{0} gap</source>
      <translation>{0} Lücke</translation>
    </message>
    <message>
      <source>{0} gaps</source>
      <translation>{0} Lücken</translation>
    </message>
    <message>
      <source>{0} line rejected</source>
      <translation>{0} Zeile abgelehnt</translation>
    </message>
    <message>
      <source>{0} lines rejected</source>
      <translation>{0} Zeilen abgelehnt</translation>
    </message>
    <message>
      <source>Bath drift: {0} K/min</source>
      <translation>Drift des Bads: {0} K/min</translation>
    </message>
    <message>
      <source>Probe runs {0} ± {1} K from the liquid</source>
      <translation>Fühler weicht {0} ± {1} K von der Flüssigkeit ab</translation>
    </message>
    <message>
      <source>writing {0}</source>
      <translation>schreibt {0}</translation>
    </message>
    <message>
      <source>Tolerance in force: {0} K. {1}</source>
      <translation>Geltende Toleranz: {0} K. {1}</translation>
    </message>
    <message>
      <source>time since start / h</source>
      <translation>Zeit seit Beginn / h</translation>
    </message>
    <message>
      <source>time since start / min</source>
      <translation>Zeit seit Beginn / min</translation>
    </message>
    <message>
      <source>Cell pressure / kPa</source>
      <translation>Zelldruck / kPa</translation>
    </message>
    <message>
      <source>Follow  Home</source>
      <translation>Folgen  Pos1</translation>
    </message>
    <message>
      <source>Bath temperature / °C</source>
      <translation>Badtemperatur / °C</translation>
    </message>
    <message>
      <source>Traces</source>
      <translation>Messkurven</translation>
    </message>
    <message>
      <source>Whole run</source>
      <translation>Ganzer Lauf</translation>
    </message>
    <message>
      <source>Last {0} min</source>
      <translation>Letzte {0} min</translation>
    </message>
    <message>
      <source>begin</source>
      <translation>Beginn</translation>
    </message>
    <message>
      <source>valve shut</source>
      <translation>Ventil zu</translation>
    </message>
    <message>
      <source>valve open</source>
      <translation>Ventil offen</translation>
    </message>
    <message>
      <source>warm water</source>
      <translation>warmes Wasser</translation>
    </message>
    <message>
      <source>cold water</source>
      <translation>kaltes Wasser</translation>
    </message>
    <message>
      <source>vented</source>
      <translation>belüftet</translation>
    </message>
    <message>
      <source>device lost</source>
      <translation>Gerät verloren</translation>
    </message>
    <message>
      <source>device back</source>
      <translation>Gerät zurück</translation>
    </message>
    <message>
      <source>device restarted</source>
      <translation>Gerät neu gestartet</translation>
    </message>
    <message>
      <source>Traces against time: {0}</source>
      <translation>Messkurven über der Zeit: {0}</translation>
    </message>
    <message>
      <source>limit {0} kPa</source>
      <translation>Grenze {0} kPa</translation>
    </message>
    <message>
      <source>shut in, from the sealed baseline</source>
      <translation>eingeschlossen, aus der geschlossenen Basislinie</translation>
    </message>
    <message>
      <source>the readings are level</source>
      <translation>die Messwerte ruhig sind</translation>
    </message>
    <message>
      <source>the corrected pair is known</source>
      <translation>das berichtigte Paar bekannt ist</translation>
    </message>
    <message>
      <source>correct the lag</source>
      <translation>Nachlauf berichtigen</translation>
    </message>
    <message>
      <source>Fit with these inputs</source>
      <translation>Mit diesen Eingaben anpassen</translation>
    </message>
    <message>
      <source>ready when</source>
      <translation>bereit, wenn</translation>
    </message>
    <message>
      <source>Decide again with these settings</source>
      <translation>Mit diesen Einstellungen neu entscheiden</translation>
    </message>
    <message>
      <source>The same points through other lines</source>
      <translation>Dieselben Punkte durch andere Geraden</translation>
    </message>
    <message>
      <source>not measured</source>
      <translation>nicht gemessen</translation>
    </message>
    <message>
      <source>recorded: {0}</source>
      <translation>aufgezeichnet: {0}</translation>
    </message>
    <message>
      <source>what if: {0}</source>
      <translation>was wäre, wenn: {0}</translation>
    </message>
    <message>
      <source>Folder</source>
      <translation>Ordner</translation>
    </message>
    <message>
      <source>Start satline in a folder of yours, or name one with --out.</source>
      <translation>satline in einem eigenen Ordner starten oder mit --out einen nennen.</translation>
    </message>
    <message>
      <source>Disk</source>
      <translation>Speicher</translation>
    </message>
    <message>
      <source>a simulated bench, nothing to plug in</source>
      <translation>ein simulierter Platz, nichts anzuschließen</translation>
    </message>
    <message>
      <source>Plug it in, then look again with F5.</source>
      <translation>Anschließen, dann mit F5 neu suchen.</translation>
    </message>
    <message>
      <source>Close that program, then look again with F5.</source>
      <translation>Dieses Programm schließen, dann mit F5 neu suchen.</translation>
    </message>
    <message>
      <source>{0} GB free</source>
      <translation>{0} GB frei</translation>
    </message>
    <message>
      <source>A long run may not fit; make room first.</source>
      <translation>Ein langer Lauf passt vielleicht nicht; zuerst Platz schaffen.</translation>
    </message>
    <message>
      <source>Cannot be opened: {0}.</source>
      <translation>Lässt sich nicht öffnen: {0}.</translation>
    </message>
    <message>
      <source>{0} is there and may be opened</source>
      <translation>{0} ist da und darf geöffnet werden</translation>
    </message>
    <message>
      <source>{0} cannot be written</source>
      <translation>{0} lässt sich nicht beschreiben</translation>
    </message>
    <message>
      <source>Heard {0} at {1} baud; kept as profile {2}.</source>
      <translation>{0} gehört mit {1} Baud; aufgehoben als Profil {2}.</translation>
    </message>
    <message>
      <source>a device</source>
      <translation>ein Gerät</translation>
    </message>
    <message>
      <source>{0} is looked at when the run starts</source>
      <translation>{0} wird angesehen, wenn der Lauf beginnt</translation>
    </message>
    <message>
      <source>{0} is not there</source>
      <translation>{0} ist nicht da</translation>
    </message>
    <message>
      <source>{0} may not be opened</source>
      <translation>{0} darf nicht geöffnet werden</translation>
    </message>
    <message>
      <source>{0} is in use by {1}</source>
      <translation>{0} ist in Gebrauch von {1}</translation>
    </message>
    <message>
      <source>the run goes to {0}</source>
      <translation>der Lauf geht nach {0}</translation>
    </message>
    <message>
      <source>Simulated bench: {0}</source>
      <translation>Simulierter Platz: {0}</translation>
    </message>
    <message>
      <source>it is {0}</source>
      <translation>es ist {0}</translation>
    </message>
    <message>
      <source>The run file is closed. The report could not be written: {0}</source>
      <translation>Die Laufdatei ist geschlossen. Der Bericht konnte nicht geschrieben werden: {0}</translation>
    </message>
    <message>
      <source>Stopped. What was read is known: pooling again goes on from there.</source>
      <translation>Angehalten. Was gelesen war, ist bekannt: Das nächste Zusammenfassen geht dort weiter.</translation>
    </message>
    <message>
      <source>The window ended with status {0}; start it in a terminal, which says more.</source>
      <translation>Das Fenster endete mit Status {0}; starten Sie es in einem Terminal, das sagt mehr.</translation>
    </message>
    <message>
      <source>the file could not be checked</source>
      <translation>die Datei ließ sich nicht prüfen</translation>
    </message>
    <message>
      <source>a leak</source>
      <translation>ein Leck</translation>
    </message>
    <message>
      <source>the amount of air</source>
      <translation>die Menge der Luft</translation>
    </message>
    <message>
      <source>the thermometer</source>
      <translation>das Thermometer</translation>
    </message>
    <message>
      <source>the pressure sensor</source>
      <translation>der Drucksensor</translation>
    </message>
    <message>
      <source>another liquid</source>
      <translation>eine andere Flüssigkeit</translation>
    </message>
    <message>
      <source>no single fault</source>
      <translation>kein einzelner Fehler</translation>
    </message>
    <message>
      <source>shut in</source>
      <translation>eingeschlossen</translation>
    </message>
    <message>
      <source>none</source>
      <translation>keine</translation>
    </message>
    <message>
      <source>channels swapped</source>
      <translation>Kanäle vertauscht</translation>
    </message>
    <message>
      <source>unit of the pressure</source>
      <translation>Einheit des Drucks</translation>
    </message>
    <message>
      <source>pressure not absolute</source>
      <translation>Druck nicht absolut</translation>
    </message>
    <message>
      <source>pressure of no room</source>
      <translation>Druck keines Raumes</translation>
    </message>
    <message>
      <source>unit of the temperature</source>
      <translation>Einheit der Temperatur</translation>
    </message>
    <message>
      <source>liquid not in the table</source>
      <translation>Flüssigkeit nicht in der Tabelle</translation>
    </message>
    <message>
      <source>outside the table's range</source>
      <translation>außerhalb der Tabelle</translation>
    </message>
    <message>
      <source>humidity not given</source>
      <translation>Feuchte nicht angegeben</translation>
    </message>
    <message>
      <source>plunger not given</source>
      <translation>Kolben nicht angegeben</translation>
    </message>
    <message>
      <source>vapour not ideal</source>
      <translation>Dampf nicht ideal</translation>
    </message>
    <message>
      <source>points scatter</source>
      <translation>Punkte streuen</translation>
    </message>
    <message>
      <source>a point off the line</source>
      <translation>ein Punkt neben der Geraden</translation>
    </message>
    <message>
      <source>leak</source>
      <translation>Leck</translation>
    </message>
    <message>
      <source>way back differs</source>
      <translation>Rückweg weicht ab</translation>
    </message>
    <message>
      <source>line is curved</source>
      <translation>Gerade ist gekrümmt</translation>
    </message>
    <message>
      <source>air left over</source>
      <translation>Luft übrig</translation>
    </message>
    <message>
      <source>liquid used up</source>
      <translation>Flüssigkeit verbraucht</translation>
    </message>
    <message>
      <source>slope of no liquid</source>
      <translation>Steigung keiner Flüssigkeit</translation>
    </message>
    <message>
      <source>gas let out</source>
      <translation>Gas entwichen</translation>
    </message>
    <message>
      <source>vapour pressure off the reference</source>
      <translation>Dampfdruck neben dem Literaturwert</translation>
    </message>
    <message>
      <source>value off the reference</source>
      <translation>Wert neben dem Literaturwert</translation>
    </message>
    <message>
      <source>an input pulled far</source>
      <translation>eine Angabe weit verschoben</translation>
    </message>
    <message>
      <source>plateaus too short</source>
      <translation>Plateaus zu kurz</translation>
    </message>
    <message>
      <source>cell not soaked</source>
      <translation>Zelle nicht temperiert</translation>
    </message>
    <message>
      <source>not saturated</source>
      <translation>nicht gesättigt</translation>
    </message>
    <message>
      <source>Do the leak check with the cell closed and dry; look at the stopper and the tubing.</source>
      <translation>Die Leckprüfung mit geschlossener, trockener Zelle machen; Stopfen und Schlauch ansehen.</translation>
    </message>
    <message>
      <source>Check volumes, plunger and humidity as entered; was the cell flushed or dried before closing?</source>
      <translation>Volumen, Kolben und Feuchte prüfen, wie eingegeben; wurde die Zelle vor dem Schließen gespült oder getrocknet?</translation>
    </message>
    <message>
      <source>Read the probe in melting ice and beside another bench's probe.</source>
      <translation>Den Fühler in schmelzendem Eis und neben dem eines anderen Platzes ablesen.</translation>
    </message>
    <message>
      <source>Read the sensor beside a barometer with the valve open.</source>
      <translation>Den Sensor bei offenem Ventil neben einem Barometer ablesen.</translation>
    </message>
    <message>
      <source>Check the bottle; measure again with liquid of known origin.</source>
      <translation>Die Flasche prüfen; mit Flüssigkeit bekannter Herkunft noch einmal messen.</translation>
    </message>
    <message>
      <source>Repeat the run on another bench with the same liquid to see which of the two moves.</source>
      <translation>Den Lauf an einem anderen Platz mit derselben Flüssigkeit wiederholen, um zu sehen, was sich bewegt.</translation>
    </message>
    <message>
      <source>{0} lies {1} % in pressure and {2} kJ/mol from the curve of all others, and no single fault explains it.</source>
      <translation>{0} liegt {1} % im Druck und {2} kJ/mol neben der Kurve aller anderen, und kein einzelner Fehler erklärt es.</translation>
    </message>
    <message>
      <source>{0} loses air: its over-pressure falls to 37 % in about {1} h.</source>
      <translation>{0} verliert Luft: Der Überdruck fällt in etwa {1} h auf 37 %.</translation>
    </message>
    <message>
      <source>{0} measured a vapour pressure {1} times that of the others; {2} would fit.</source>
      <translation>{0} maß einen Dampfdruck vom {1}-fachen der anderen; {2} würde passen.</translation>
    </message>
    <message>
      <source>{0} has {1} % more air in the cell than its inputs say.</source>
      <translation>{0} hat {1} % mehr Luft in der Zelle, als die Angaben sagen.</translation>
    </message>
    <message>
      <source>{0} has {1} % less air in the cell than its inputs say.</source>
      <translation>{0} hat {1} % weniger Luft in der Zelle, als die Angaben sagen.</translation>
    </message>
    <message>
      <source>Bench {0}</source>
      <translation>Platz {0}</translation>
    </message>
    <message>
      <source>{0} reads temperatures that put its points beside the curve of all others.</source>
      <translation>{0} zeigt Temperaturen, die seine Punkte neben die Kurve aller anderen legen.</translation>
    </message>
    <message>
      <source>{0} has a pressure sensor that does not agree with the others.</source>
      <translation>{0} hat einen Drucksensor, der nicht zu den anderen passt.</translation>
    </message>
    <message>
      <source>Its room pressure is {0} kPa off the others'.</source>
      <translation>Sein Raumdruck liegt {0} kPa neben dem der anderen.</translation>
    </message>
    <message>
      <source>{folder} is on a network drive ({kind}). Readings may be lost when the network stalls, and nobody can follow the run while it is recorded. Record on a local disk and copy the file there afterwards.</source>
      <translation>{folder} liegt auf einem Netzlaufwerk ({kind}). Messwerte können verloren gehen, wenn das Netz stockt, und niemand kann dem Lauf folgen, während er aufgezeichnet wird. Zeichnen Sie auf einen Datenträger dieses Rechners auf, und kopieren Sie die Datei danach dorthin.</translation>
    </message>
    <message>
      <source>only {size} are free on the disk of {folder}; this run will need about {needed}. Free some, or record to a folder on another disk.</source>
      <translation>auf dem Datenträger von {folder} sind nur {size} frei; dieser Lauf wird etwa {needed} brauchen. Machen Sie Platz, oder zeichnen Sie in einen Ordner auf einem anderen Datenträger auf.</translation>
    </message>
    <message>
      <source>only {size} are free on the disk of {folder}. Free some, or record to a folder on another disk.</source>
      <translation>auf dem Datenträger von {folder} sind nur {size} frei. Machen Sie Platz, oder zeichnen Sie in einen Ordner auf einem anderen Datenträger auf.</translation>
    </message>
    <message>
      <source>no room for a reserve beside {path}</source>
      <translation>neben {path} ist kein Platz für eine Reserve</translation>
    </message>
    <message>
      <source>{reason} Recording goes on in the raw journal; the run file is made from it when the run is closed.</source>
      <translation>{reason} Die Aufzeichnung geht im Rohjournal weiter; die Laufdatei wird daraus gemacht, wenn der Lauf beendet wird.</translation>
    </message>
    <message>
      <source>the disk of {folder} is full ({reason}). The last reserve is in use: free some room now, or end the run.</source>
      <translation>der Datenträger von {folder} ist voll ({reason}). Die letzte Reserve wird verbraucht: machen Sie jetzt Platz, oder beenden Sie den Lauf.</translation>
    </message>
    <message>
      <source>the disk of {folder} was full ({reason}) while this run was recorded. Everything was kept all the same.</source>
      <translation>der Datenträger von {folder} war voll ({reason}), während dieser Lauf aufgezeichnet wurde. Trotzdem ist alles erhalten.</translation>
    </message>
    <message>
      <source>{doing} {path} failed: {reason}. What was flushed before is still in the file. Free space or reconnect the drive; record to another folder meanwhile.</source>
      <translation>{path} konnte nicht geschrieben werden ({doing}): {reason}. Was vorher gesichert wurde, ist noch in der Datei. Machen Sie Platz, oder schließen Sie das Laufwerk wieder an; zeichnen Sie solange in einen anderen Ordner auf.</translation>
    </message>
    <message>
      <source>its folder was removed or the drive was pulled</source>
      <translation>der Ordner wurde gelöscht oder das Laufwerk abgezogen</translation>
    </message>
    <message>
      <source>Recording goes on in {folder}; nothing was lost. The run file will be made there when the run is closed. {old} cannot be written any more: {reason}.</source>
      <translation>Die Aufzeichnung geht in {folder} weiter; nichts ist verloren. Die Laufdatei wird dort gemacht, wenn der Lauf beendet wird. {old} kann nicht mehr geschrieben werden: {reason}.</translation>
    </message>
    <message>
      <source>Recording goes on in {folder}; what was recorded before was written again from memory. The run file will be made there when the run is closed. {old} cannot be written any more: {reason}.</source>
      <translation>Die Aufzeichnung geht in {folder} weiter; was vorher aufgezeichnet war, wurde aus dem Speicher neu geschrieben. Die Laufdatei wird dort gemacht, wenn der Lauf beendet wird. {old} kann nicht mehr geschrieben werden: {reason}.</translation>
    </message>
    <message>
      <source>Recording goes on in {folder}; what was recorded before is on the lost drive only. The run file will be made there when the run is closed. {old} cannot be written any more: {reason}.</source>
      <translation>Die Aufzeichnung geht in {folder} weiter; was vorher aufgezeichnet war, ist nur auf dem verlorenen Laufwerk. Die Laufdatei wird dort gemacht, wenn der Lauf beendet wird. {old} kann nicht mehr geschrieben werden: {reason}.</translation>
    </message>
    <message>
      <source>{path} cannot be written ({reason}) and no other folder is left. Readings wait in memory only: free some room on the disk or reconnect it now.</source>
      <translation>{path} kann nicht geschrieben werden ({reason}), und kein anderer Ordner ist übrig. Messwerte warten nur noch im Speicher: machen Sie jetzt Platz auf dem Datenträger, oder schließen Sie ihn wieder an.</translation>
    </message>
    <message>
      <source>the run file could not be made: {reason}. Everything is in {raw}; once there is room, 'satline verify {path} --repair' makes the run file from it.</source>
      <translation>die Laufdatei konnte nicht gemacht werden: {reason}. Alles ist in {raw}; sobald Platz ist, macht „satline verify {path} --repair“ die Laufdatei daraus.</translation>
    </message>
    <message>
      <source>The run file was made from the raw journal and is complete.</source>
      <translation>Die Laufdatei wurde aus dem Rohjournal gemacht und ist vollständig.</translation>
    </message>
    <message>
      <source>The run file was made from the raw journal and is complete; it is in {folder}.</source>
      <translation>Die Laufdatei wurde aus dem Rohjournal gemacht und ist vollständig; sie liegt in {folder}.</translation>
    </message>
    <message>
      <source>creating</source>
      <translation>beim Anlegen</translation>
    </message>
    <message>
      <source>opening</source>
      <translation>beim Öffnen</translation>
    </message>
    <message>
      <source>writing</source>
      <translation>beim Schreiben</translation>
    </message>
    <message>
      <source>writing to</source>
      <translation>beim Schreiben</translation>
    </message>
    <message>
      <source>writing readings to</source>
      <translation>beim Schreiben der Messwerte</translation>
    </message>
    <message>
      <source>writing the journal of</source>
      <translation>beim Schreiben des Journals</translation>
    </message>
    <message>
      <source>syncing</source>
      <translation>beim Sichern auf den Datenträger</translation>
    </message>
    <message>
      <source>continuing</source>
      <translation>beim Fortsetzen</translation>
    </message>
    <message>
      <source>recording to</source>
      <translation>beim Aufzeichnen</translation>
    </message>
    <message>
      <source>adding to</source>
      <translation>beim Ergänzen</translation>
    </message>
    <message>
      <source>closing</source>
      <translation>beim Abschließen</translation>
    </message>
  </context>
</TS>
