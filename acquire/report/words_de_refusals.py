"""German for refusals of files, tables, plans and places; see `acquire.report.language`."""

from __future__ import annotations

REFUSALS_DE = {
    # run files
    "{path} does not exist; expected a run file. Check the name and the folder.": (
        "{path} gibt es nicht; erwartet wird eine Laufdatei. Prüfen Sie Namen und Ordner."
    ),
    "{path} is a folder; expected a run file. Name a file inside it.": (
        "{path} ist ein Ordner; erwartet wird eine Laufdatei. Nennen Sie eine Datei darin."
    ),
    "{path} cannot be read: {reason}. Expected a run file that this account may read.": (
        "{path} ist nicht lesbar (wörtlich: „{reason}“). Erwartet wird eine Laufdatei, die dieses Benutzerkonto lesen "
        "darf."
    ),
    "{path} {fault}; expected a run file (HDF5) as written by satline. "
    "Check that it is the right file and was copied completely.": (
        "{path} {fault}; erwartet wird eine Laufdatei (HDF5), wie satline sie schreibt. Prüfen Sie, ob es die richtige "
        "Datei ist und ob sie ganz kopiert wurde."
    ),
    "{path} is an HDF5 file but cannot be opened: {reason}. "
    "Expected a run file as written by satline. Try 'satline verify {path} --repair'.": (
        "{path} ist eine HDF5-Datei, lässt sich aber nicht öffnen (wörtlich: „{reason}“). Erwartet wird eine "
        "Laufdatei, wie satline sie schreibt. Versuchen Sie 'satline verify {path} --repair'."
    ),
    "{path} is an HDF5 file without our schema version; expected a run file as written by satline. "
    "Open it with a general HDF5 viewer to see what it is.": (
        "{path} ist eine HDF5-Datei ohne unsere Schemaversion; erwartet wird eine Laufdatei, wie satline sie schreibt. "
        "Ein allgemeines Programm für HDF5 zeigt, was sie enthält."
    ),
    "{path} has schema version {version}; this program reads versions up to {known}. Update satline to open it.": (
        "{path} hat Schemaversion {version}; dieses Programm liest Versionen bis {known}. Erneuern Sie satline, um sie "
        "zu öffnen."
    ),
    "{path} {fault}; it is damaged, or was made to do that. Expected a run file as written by satline. "
    "Look for an untouched copy, and do not open this one with other programs either.": (
        "{path} {fault}; sie ist beschädigt oder wurde dazu gemacht. Erwartet wird eine Laufdatei, wie satline sie "
        "schreibt. Suchen Sie eine unberührte Kopie, und öffnen Sie diese auch mit keinem anderen Programm."
    ),
    "{path} {fault}; it is damaged, or was made to do that. Do not open it with other programs either.": (
        "{path} {fault}; sie ist beschädigt oder wurde dazu gemacht. Öffnen Sie sie auch mit keinem anderen Programm."
    ),
    "{path} is a run file but a part of it cannot be read: {reason}. "
    "'satline verify {path}' says which part, and with --repair makes a copy of what can be read.": (
        "{path} ist eine Laufdatei, aber ein Teil davon ist nicht lesbar (wörtlich: „{reason}“). "
        "'satline verify {path}' sagt, welcher Teil, und macht mit --repair eine Kopie dessen, was lesbar ist."
    ),
    "{path} is a run file but a part of it cannot be read: {reason}. "
    "'satline verify {path}' says which part; work on a copy.": (
        "{path} ist eine Laufdatei, aber ein Teil davon ist nicht lesbar (wörtlich: „{reason}“). "
        "'satline verify {path}' sagt, welcher Teil; arbeiten Sie an einer Kopie."
    ),
    "is empty": "ist leer",
    "is not an HDF5 file": "ist keine HDF5-Datei",
    "is cut off after {count} bytes": "bricht nach {count} Bytes ab",
    "has addresses of {count} bytes": "hat Adressen von {count} Bytes",
    "kept the HDF5 library busy without an end": "beschäftigt die HDF5-Bibliothek ohne Ende",
    "made the HDF5 library break off ({how})": "bringt die HDF5-Bibliothek zum Absturz ({how})",
    "{path} exists already; nothing is ever overwritten. Choose another name, or move the existing file away.": (
        "{path} gibt es schon; es wird nie etwas überschrieben. Wählen Sie einen anderen Namen, oder legen Sie die "
        "vorhandene Datei woanders hin."
    ),
    "{path} is being recorded by another program; one writer at a time is possible. End the run there first, or choose "
    "another name.": (
        "{path} wird von einem anderen Programm aufgezeichnet; nur eines kann schreiben. Beenden Sie den Lauf zuerst "
        "dort, oder wählen Sie einen anderen Namen."
    ),
    "{path} is being written by another program, or was when that program ended abruptly. One writer at a time is "
    "possible. Close the other program; if there is none, run 'satline verify {path} --repair'.": (
        "{path} wird von einem anderen Programm geschrieben, oder wurde es, als jenes Programm jäh endete. Nur eines "
        "kann schreiben. Schließen Sie das andere Programm; gibt es keines, hilft 'satline verify {path} --repair'."
    ),
    "writing {path} failed: {reason}. Expected a folder with room that this account may write to; choose another with "
    "--out. The run file was only read.": (
        "{path} ließ sich nicht schreiben (wörtlich: „{reason}“). Erwartet wird ein Ordner mit Platz, in den dieses "
        "Benutzerkonto schreiben darf; wählen Sie mit --out einen anderen. Die Laufdatei wurde nur gelesen."
    ),
    "The recording went on as {path}: everything from the beginning is there.": (
        "Die Aufzeichnung ging in {path} weiter; dort ist alles von Anfang an."
    ),
    "The recording went on as {path}; the run file is made there when the run is closed.": (
        "Die Aufzeichnung geht in {path} weiter; dort entsteht die Laufdatei, wenn der Lauf geschlossen wird."
    ),
    "the recorder of {path} (process {count}) does not answer: {reason}. If it is gone, 'satline verify {path} "
    "--repair' makes the run file from what it wrote.": (
        "Der Rekorder von {path} (Prozess {count}) antwortet nicht (wörtlich: „{reason}“). Gibt es ihn nicht mehr, "
        "macht 'satline verify {path} --repair' die Laufdatei aus dem, was er geschrieben hat."
    ),
    "the recorder of {path} (process {count}) does not answer: {reason}. Open the run again to rejoin it; everything "
    "received is in its raw journal.": (
        "Der Rekorder von {path} (Prozess {count}) antwortet nicht (wörtlich: „{reason}“). Öffnen Sie den Lauf wieder, "
        "um sich anzuschließen; alles Empfangene steht in seinem Rohjournal."
    ),
    "the connection to the recorder of {path} was closed.": (
        "Die Verbindung zum Rekorder von {path} wurde geschlossen."
    ),
    "nobody is recording this run: {path} is not there. Open the run file itself instead.": (
        "Niemand zeichnet diesen Lauf auf: {path} gibt es nicht. Öffnen Sie statt dessen die Laufdatei selbst."
    ),
    "{path} cannot be understood ({reason}); expected what a recorder wrote there. The recorder goes on; open the run "
    "file to follow it.": (
        "{path} ist nicht zu verstehen (wörtlich: „{reason}“); erwartet wird, was ein Rekorder dort schrieb. Der "
        "Rekorder läuft weiter; öffnen Sie die Laufdatei, um ihm zu folgen."
    ),
    "{path} is of a recorder that speaks version {count}, this program speaks {most}. Use the version of satline that "
    "started the run.": (
        "{path} ist von einem Rekorder, der Version {count} spricht; dieses Programm spricht {most}. Nehmen Sie das "
        "satline, das den Lauf begonnen hat."
    ),
    # what a check finds
    "there is no seal: {why}": "es gibt kein Siegel: {why}",
    "its writer was killed": "das schreibende Programm wurde abgebrochen",
    "the run was not closed": "der Lauf wurde nicht geschlossen",
    "the run ended without being closed; this file was mended later": (
        "der Lauf endete, ohne geschlossen zu werden; diese Datei wurde später ausgebessert"
    ),
    "the first bytes of the file do not agree with their checksum": (
        "die ersten Bytes der Datei passen nicht zu ihrer Prüfsumme"
    ),
    "the file is cut off: {count} of {most} bytes are there": ("die Datei bricht ab: {count} von {most} Bytes sind da"),
    "the seal cannot be read: {reason}": "das Siegel ist nicht lesbar (wörtlich: „{reason}“)",
    "the seal itself was altered": "das Siegel selbst wurde verändert",
    "the list of objects cannot be read: {reason}": "die Liste der Teile ist nicht lesbar (wörtlich: „{reason}“)",
    "{part} was sealed but is not there any more": "{part} wurde versiegelt, ist aber nicht mehr da",
    "{part} was added after sealing": "{part} kam nach dem Versiegeln hinzu",
    "{part} differs from what was sealed": "{part} ist anders, als es versiegelt wurde",
    "the journal cannot be read: {reason}": "das Journal ist nicht lesbar (wörtlich: „{reason}“)",
    "the journal's rows point outside its lines": "die Zeilennummern des Journals zeigen ins Leere",
    "the journal's chain is broken at entry {row}": "die Kette des Journals ist bei Eintrag {row} unterbrochen",
    "row {row} of the journal holds entry {count}": "in Zeile {row} des Journals steht Eintrag {count}",
    "the readable columns of entry {row} differ from its line": (
        "die lesbaren Spalten von Eintrag {row} sagen anderes als seine Zeile"
    ),
    "the columns of {part} have {count} to {most} rows; the rest is cut off": (
        "die Spalten von {part} haben {count} bis {most} Zeilen; der Rest ist abgeschnitten"
    ),
    "{count} rows of {part} were never written; the disk was full or gone": (
        "{count} Zeilen von {part} wurden nie geschrieben; der Datenträger war voll oder weg"
    ),
    "{part} runs backwards at {count} places": "{part} läuft an {count} Stellen rückwärts",
    "the last {count} rows of {part} were not written to the end": (
        "die letzten {count} Zeilen von {part} wurden nicht zu Ende geschrieben"
    ),
    "{count} rows of {part} are not as they were written": (
        "{count} Zeilen von {part} sind nicht, wie sie geschrieben wurden"
    ),
    "{part} has more rows than there are readings for": "{part} hat mehr Zeilen, als es Ablesungen gibt",
    "{path} broke off while it was read": "{path} brach beim Lesen ab",
    # places
    "cannot write in {path}: {reason}; choose another folder with {option}, or ask whoever owns it for permission": (
        "In {path} lässt sich nicht schreiben (wörtlich: „{reason}“); wählen Sie mit {option} einen anderen Ordner, "
        "oder bitten Sie den Eigentümer um Erlaubnis."
    ),
    "{path} is already there and is not overwritten; choose another name": (
        "{path} gibt es schon und wird nicht überschrieben; wählen Sie einen anderen Namen."
    ),
    "{path} cannot be written: {reason}; choose another folder": (
        "{path} lässt sich nicht schreiben (wörtlich: „{reason}“); wählen Sie einen anderen Ordner."
    ),
    "the page could not be written to {path}: {reason}; expected a folder that can be written to. Name another file "
    "with --out, or make room.": (
        "Die Seite ließ sich nicht nach {path} schreiben (wörtlich: „{reason}“); erwartet wird ein beschreibbarer "
        "Ordner. Nennen Sie mit --out eine andere Datei, oder schaffen Sie Platz."
    ),
    "a figure could not be written into {path}: {reason}; expected a folder that can be written to. Name another one "
    "with --figures, or make room.": (
        "Ein Bild ließ sich nicht nach {path} schreiben (wörtlich: „{reason}“); erwartet wird ein beschreibbarer "
        "Ordner. Nennen Sie mit --figures einen anderen, oder schaffen Sie Platz."
    ),
    "{path}: {reason}; expected something that is there. Check the name and the folder.": (
        "{path} gibt es nicht (wörtlich: „{reason}“). Prüfen Sie Namen und Ordner."
    ),
    "{path}: {reason}; expected a place that this account may use. Choose another one, or ask its owner.": (
        "{path} steht diesem Benutzerkonto nicht offen (wörtlich: „{reason}“). Wählen Sie einen anderen Ort, oder "
        "fragen Sie den Eigentümer."
    ),
    "{path}: {reason}; expected a file. Name one inside it.": (
        "{path} ist ein Ordner (wörtlich: „{reason}“). Nennen Sie eine Datei darin."
    ),
    "{path}: {reason}; expected a folder. Check the name.": (
        "{path} ist kein Ordner (wörtlich: „{reason}“). Prüfen Sie den Namen."
    ),
    "{path}: {reason}; expected room on the disk. Free some, or choose another disk.": (
        "{path}: Der Datenträger ist voll (wörtlich: „{reason}“). Schaffen Sie Platz, oder wählen Sie einen anderen."
    ),
    "{path}: {reason}; expected a disk that can be written. Choose another folder.": (
        "{path}: Der Datenträger ist nicht beschreibbar (wörtlich: „{reason}“). Wählen Sie einen anderen Ordner."
    ),
    "{path}: {reason}; expected it to work. Check the name, the folder and the disk.": (
        "{path} ließ sich nicht benutzen (wörtlich: „{reason}“). Prüfen Sie Namen, Ordner und Datenträger."
    ),
    # names on a command line
    "there is no file {path}; expected a run file": "Die Datei {path} gibt es nicht; erwartet wird eine Laufdatei.",
    "there is no file {path}; expected a run file or a CSV of points": (
        "Die Datei {path} gibt es nicht; erwartet wird eine Laufdatei oder eine CSV-Tabelle von Punkten."
    ),
    "there is no run plan {path}; expected a TOML file, or leave --plan out for the defaults": (
        "Den Laufplan {path} gibt es nicht; erwartet wird eine TOML-Datei. Ohne Plan gelten die Voreinstellungen."
    ),
    "{path}: {why}; expected the plan that `satline export` wrote, unchanged": (
        "{path} ist nicht zu verstehen (wörtlich: „{why}“); erwartet wird der Plan, den `satline export` schrieb, "
        "unverändert."
    ),
    "{path} is a table of points; only run files hold traces to look at": (
        "{path} ist eine Tabelle von Punkten; nur Laufdateien enthalten Spuren zum Ansehen."
    ),
    "--air is {given}; expected one of: none: the pressures are of pure vapour (evacuated cell); 'sealed=21.4 "
    "degC,100.9 kPa': air shut in at that temperature and pressure; corrected: the air was subtracted already.  A run "
    "file knows its own.": (
        "Für die Luft steht {given}; erwartet wird der Zustand der verschlossenen, trockenen Zelle als Temperatur und "
        "Druck, beides als Zahl."
    ),
    "device {given}: {why}; expected PROFILE@PORT, for example delimited-text@/dev/ttyACM0, delimited-text@COM5 or "
    "delimited-text@socket://host:port": (
        "Gerät {given}: {why}; erwartet wird PROFIL@ANSCHLUSS, zum Beispiel delimited-text@/dev/ttyACM0, "
        "delimited-text@COM5 oder delimited-text@socket://host:port."
    ),
    "no '@' in it": "kein '@' darin",
    "the profile is missing": "das Profil fehlt",
    "the port is missing": "der Anschluss fehlt",
    "no device profile {given}; expected one of {names}, or the path of a .toml file; {hint}": (
        "Ein Geräteprofil {given} gibt es nicht; erwartet wird eines von {names} oder der Pfad einer .toml-Datei; "
        "{hint}"
    ),
    "no device profile {given}; expected one of {names}, or the path of a .toml file": (
        "Ein Geräteprofil {given} gibt es nicht; erwartet wird eines von {names} oder der Pfad einer .toml-Datei."
    ),
    "the given plan does not fit the bench it is for: {why}. Change it, or leave out what the bench's own plan says "
    "already.": (
        "Der Plan passt nicht zu dem Platz, für den er ist (wörtlich: „{why}“). Ändern Sie ihn, oder lassen Sie weg, "
        "was der Plan des Platzes schon sagt."
    ),
    # liquids
    "no liquid is called {given}; expected a name, other name or CAS number from the table of liquids. Did you mean "
    "{near}? List them, add your own, or fit it as an unknown liquid.": (
        "Eine Flüssigkeit {given} gibt es nicht; erwartet wird ein Name oder eine CAS-Nummer aus der Tabelle der "
        "Flüssigkeiten. Meinten Sie {near}? 'satline liquids' zählt sie auf; Sie können eine eigene hinzufügen oder "
        "sie als unbekannte Flüssigkeit messen."
    ),
    "no liquid is called {given}; expected a name, other name or CAS number from the table of liquids. List them, add "
    "your own, or fit it as an unknown liquid.": (
        "Eine Flüssigkeit {given} gibt es nicht; erwartet wird ein Name oder eine CAS-Nummer aus der Tabelle der "
        "Flüssigkeiten. 'satline liquids' zählt sie auf; Sie können eine eigene hinzufügen oder sie als unbekannte "
        "Flüssigkeit messen."
    ),
    "{path} is not TOML: {reason}; expected a TOML table of liquids. Mend the line named.": (
        "{path} ist kein TOML (wörtlich: „{reason}“); erwartet wird eine TOML-Tabelle von Flüssigkeiten. Berichtigen "
        "Sie die genannte Zeile."
    ),
    "{path} has {count} fault: {reason}; expected entries like those of the shipped table. Mend them and read it "
    "again.": (
        "{path} hat {count} Fehler (wörtlich: „{reason}“); erwartet werden Einträge wie in der mitgelieferten "
        "Tabelle. Berichtigen Sie ihn, und lesen Sie sie wieder ein."
    ),
    "{path} has {count} faults: {reason}; expected entries like those of the shipped table. Mend them and read it "
    "again.": (
        "{path} hat {count} Fehler (wörtlich: „{reason}“); erwartet werden Einträge wie in der mitgelieferten "
        "Tabelle. Berichtigen Sie sie, und lesen Sie die Tabelle wieder ein."
    ),
    "{path} has {count} bytes; expected at most {most}. Shorten the table.": (
        "{path} hat {count} Bytes; erwartet werden höchstens {most}. Kürzen Sie die Tabelle."
    ),
    "{path} is not UTF-8 text; expected a TOML table of liquids. Save it as UTF-8.": (
        "{path} ist kein Text in UTF-8; erwartet wird eine TOML-Tabelle von Flüssigkeiten. Speichern Sie sie in UTF-8."
    ),
    # ports
    "port {port} is no address; expected socket://host:port, port 1 to 65535": (
        "{port} ist keine Adresse; erwartet wird socket://host:port mit einer Nummer von 1 bis 65535."
    ),
    "nobody answers at {port} ({reason}); expected a serial server listening there; check host, port number and that "
    "it is running": (
        "Bei {port} antwortet niemand (wörtlich: „{reason}“); erwartet wird ein serieller Server. Prüfen Sie Rechner "
        "und Nummer, und ob er läuft."
    ),
    "port {port} refuses the line's settings ({settings}); expected a port that can do them; check [line] in the "
    "profile": (
        "Der Anschluss {port} nimmt die Einstellungen der Leitung nicht an ({settings}). Prüfen Sie [line] im Profil."
    ),
    "port {port} cannot be understood ({reason}); expected a device such as /dev/ttyACM0 or COM5, or "
    "socket://host:port, rfc2217://host:port, loop://": (
        "Der Anschluss {port} ist nicht zu verstehen (wörtlich: „{reason}“); erwartet wird ein Gerät wie /dev/ttyACM0 "
        "oder COM5, oder socket://host:port, rfc2217://host:port, loop://."
    ),
    "port {port} may not be opened by this user; expected membership of group {group}; run  {command}  then log out "
    "and in again": (
        "Der Anschluss {port} steht diesem Benutzer nicht offen; erwartet wird die Zugehörigkeit zur Gruppe {group}. "
        "Rufen Sie  {command}  auf, und melden Sie sich danach ab und wieder an."
    ),
    "port {port} may not be opened by this user; expected read and write permission; ask whoever administers this "
    "machine": (
        "Der Anschluss {port} steht diesem Benutzer nicht offen; erwartet wird das Recht zu lesen und zu schreiben. "
        "Fragen Sie, wer diesen Rechner betreut."
    ),
    "port {port} is in use by another program; expected it to be free; close the other program (a terminal, another "
    "logger, a modem manager) and try again": (
        "Der Anschluss {port} wird von einem anderen Programm benutzt. Schließen Sie es (ein Terminal, ein anderes "
        "Messprogramm, eine Modemverwaltung), und versuchen Sie es noch einmal."
    ),
    "there is no port {port}; expected a device that is plugged in; satline ports lists what is there": (
        "Den Anschluss {port} gibt es nicht; erwartet wird ein eingestecktes Gerät. satline ports zählt auf, was da "
        "ist."
    ),
    "the serial server at {port} does not confirm the control lines; expected it to; where the device needs none, add "
    "?ign_set_control to the address": (
        "Der serielle Server bei {port} bestätigt die Steuerleitungen nicht. Braucht das Gerät keine, so hängen Sie "
        "?ign_set_control an die Adresse."
    ),
    "port {port} cannot be opened ({reason}); expected a serial device; satline ports lists what is there": (
        "Der Anschluss {port} lässt sich nicht öffnen (wörtlich: „{reason}“); erwartet wird ein serielles Gerät. "
        "satline ports zählt auf, was da ist."
    ),
    "lost {port}: {why}; expected it to stay open; check cable and power, it is tried again": (
        "{port} ging verloren: {why}. Prüfen Sie Kabel und Strom; es wird weiter versucht."
    ),
    "the line went away": "die Leitung ist weg",
    # many runs
    "the sample is a mixture; pool pure liquids": (
        "die Probe ist ein Gemisch; zusammengefasst werden reine Flüssigkeiten"
    ),
    "the run is not closed; close it, or mend it with 'satline verify --repair'": (
        "der Lauf ist nicht geschlossen; schließen Sie ihn, oder bessern Sie ihn mit 'satline verify --repair' aus"
    ),
    "a table does not say what was measured and how its air was treated; give --liquid and --air": (
        "eine Tabelle sagt nicht, was gemessen und wie die Luft behandelt wurde; geben Sie --liquid und --air an"
    ),
    "--air {given} does not give a temperature and a pressure": (
        "--air {given} gibt nicht eine Temperatur und einen Druck an"
    ),
    "its run plan does not fit this version: {key}: {reason}": (
        "ihr Laufplan passt nicht zu dieser Version: {key} (wörtlich: „{reason}“)"
    ),
    "its analysis ended the worker process": "ihre Auswertung hat den Arbeitsprozess beendet",
    "something unforeseen went wrong ({reason})": "etwas Unvorhergesehenes ging schief (wörtlich: „{reason}“)",
    "the same content as another file": "der gleiche Inhalt wie eine andere Datei",
    "its liquid is {liquid}, the pool is of {its_liquid}": (
        "ihre Flüssigkeit ist {liquid}, zusammengefasst wird {its_liquid}"
    ),
    "it is {state}, the pool is of {simulated} runs": "sie ist {state}, die übrigen Läufe sind {simulated}",
    "measured": "gemessen",
    "simulated": "simuliert",
    "its air was treated as {air}, that of the pool as {its_air}": (
        "ihre Luft wurde als {air} behandelt, die der übrigen als {its_air}"
    ),
    "there are {count} usable runs; expected at least two. Give more run files, or look at the reasons in the table of "
    "runs": (
        "Brauchbare Läufe: {count}; erwartet werden mindestens zwei. Geben Sie mehr Laufdateien an, oder sehen Sie in "
        "der Tabelle der Läufe nach den Gründen."
    ),
    "there are {count} usable runs (left out: {reasons}); expected at least two. Give more run files, or look at the "
    "reasons in the table of runs": (
        "Brauchbare Läufe: {count} (ausgelassen: {reasons}); erwartet werden mindestens zwei. Geben Sie mehr "
        "Laufdateien an, oder sehen Sie in der Tabelle der Läufe nach den Gründen."
    ),
    "none of the {count} files can be used: {reasons}": "Keine der {count} Dateien ist brauchbar: {reasons}",
    "the folder {path} holds no run file and no CSV table; choose one that does": (
        "Im Ordner {path} ist keine Laufdatei und keine CSV-Tabelle; wählen Sie einen anderen."
    ),
    "{path} is to be read and would be written; give another folder for the results": (
        "{path} soll gelesen werden und würde überschrieben; nennen Sie für die Ergebnisse einen anderen Ordner."
    ),
    "the worker processes end with every file they are given ({count} so far); expected them to run. Try --workers 0, "
    "which does the work without them, or --workers 1 where memory is short": (
        "Die Arbeitsprozesse enden mit jeder Datei, die sie bekommen (bisher {count}). Versuchen Sie --workers 0, das "
        "ohne sie auskommt, oder --workers 1, wenn der Speicher knapp ist."
    ),
}
