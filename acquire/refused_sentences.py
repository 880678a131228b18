"""Refusals of tables, plans, places and runs as sentences with places, by which a page or window knows them again.

They are said where something is found wrong, and travel as plain text: through tables of runs, other processes, the
recorder.  Those of run files stand in `acquire.runfile.refusals`.
"""

from __future__ import annotations

#: Places that hold a sentence, or a part of one, that may be known too.
WITHIN = ("fault", "found", "expected", "hint", "why", "quantity", "other", "state", "simulated")
#: Places that may hold no more than certain things: a path has any words in it.
HELD = {
    "line": r"\d+", "count": r"\d+", "most": r"\d+", "key": r"[A-Za-z_][\w.\[\]]*", "row": r"\d+",
    "name": "[a-z_]+",
    "quantity": "temperature|temperature difference|pressure|volume|time|fraction",
    "other": "temperature|pressure|volume|time|fraction", "channel": "temperature|pressure",
}  # fmt: skip

RUN_FILES = (
    "{path} exists already; nothing is ever overwritten. Choose another name, or move the existing file away.",
    "{path} is being recorded by another program; one writer at a time is possible. End the run there first, or choose "
    "another name.",
    "{path} is being written by another program, or was when that program ended abruptly. One writer at a time is "
    "possible. Close the other program; if there is none, run 'satline verify {path} --repair'.",
    "writing {path} failed: {reason}. Expected a folder with room that this account may write to; choose another with "
    "--out. The run file was only read.",
    "The recording went on as {path}: everything from the beginning is there.",
    "The recording went on as {path}; the run file is made there when the run is closed.",
    "the recorder of {path} (process {count}) does not answer: {reason}. If it is gone, 'satline verify {path} "
    "--repair' makes the run file from what it wrote.",
    "the recorder of {path} (process {count}) does not answer: {reason}. Open the run again to rejoin it; everything "
    "received is in its raw journal.",
    "the connection to the recorder of {path} was closed.",
    "nobody is recording this run: {path} is not there. Open the run file itself instead.",
    "{path} cannot be understood ({reason}); expected what a recorder wrote there. The recorder goes on; open the run "
    "file to follow it.",
    "{path} is of a recorder that speaks version {count}, this program speaks {most}. Use the version of satline that "
    "started the run.",
)

#: What a check of a run file finds.
CHECKS = (
    "there is no seal: {why}",
    "its writer was killed",
    "the run was not closed",
    "the run ended without being closed; this file was mended later",
    "the first bytes of the file do not agree with their checksum",
    "the file is cut off: {count} of {most} bytes are there",
    "the seal cannot be read: {reason}",
    "the seal itself was altered",
    "the list of objects cannot be read: {reason}",
    "{part} was sealed but is not there any more",
    "{part} was added after sealing",
    "{part} differs from what was sealed",
    "the journal cannot be read: {reason}",
    "the journal's rows point outside its lines",
    "the journal's chain is broken at entry {row}",
    "row {row} of the journal holds entry {count}",
    "the readable columns of entry {row} differ from its line",
    "the columns of {part} have {count} to {most} rows; the rest is cut off",
    "{count} rows of {part} were never written; the disk was full or gone",
    "{part} runs backwards at {count} places",
    "the last {count} rows of {part} were not written to the end",
    "{count} rows of {part} are not as they were written",
    "{part} has more rows than there are readings for",
    "{path} broke off while it was read",
)

PLACES = (
    "cannot write in {path}: {reason}; choose another folder with {option}, or ask whoever owns it for permission",
    "{path} is already there and is not overwritten; choose another name",
    "{path} cannot be written: {reason}; choose another folder",
    "the page could not be written to {path}: {reason}; expected a folder that can be written to. Name another file "
    "with --out, or make room.",
    "a figure could not be written into {path}: {reason}; expected a folder that can be written to. Name another one "
    "with --figures, or make room.",
    "{path}: {reason}; expected something that is there. Check the name and the folder.",
    "{path}: {reason}; expected a place that this account may use. Choose another one, or ask its owner.",
    "{path}: {reason}; expected a file. Name one inside it.",
    "{path}: {reason}; expected a folder. Check the name.",
    "{path}: {reason}; expected room on the disk. Free some, or choose another disk.",
    "{path}: {reason}; expected a disk that can be written. Choose another folder.",
    "{path}: {reason}; expected it to work. Check the name, the folder and the disk.",
)

#: Of files as a command line names them.
NAMES = (
    "there is no file {path}; expected a run file",
    "there is no file {path}; expected a run file or a CSV of points",
    "there is no run plan {path}; expected a TOML file, or leave --plan out for the defaults",
    "{path}: {why}; expected the plan that `satline export` wrote, unchanged",
    "{path} is a table of points; only run files hold traces to look at",
    "--air is {given}; expected one of: none: the pressures are of pure vapour (evacuated cell); 'sealed=21.4 "
    "degC,100.9 kPa': air shut in at that temperature and pressure; corrected: the air was subtracted already.  A run "
    "file knows its own.",
    "device {given}: {why}; expected PROFILE@PORT, for example delimited-text@/dev/ttyACM0, delimited-text@COM5 or "
    "delimited-text@socket://host:port",
    "no '@' in it",
    "the profile is missing",
    "the port is missing",
    "no device profile {given}; expected one of {names}, or the path of a .toml file; {hint}",
    "no device profile {given}; expected one of {names}, or the path of a .toml file",
    "the given plan does not fit the bench it is for: {why}. Change it, or leave out what the bench's own plan says "
    "already.",
)

LIQUIDS = (
    "no liquid is called {given}; expected a name, other name or CAS number from the table of liquids. Did you mean "
    "{near}? List them, add your own, or fit it as an unknown liquid.",
    "no liquid is called {given}; expected a name, other name or CAS number from the table of liquids. List them, add "
    "your own, or fit it as an unknown liquid.",
    "{path} is not TOML: {reason}; expected a TOML table of liquids. Mend the line named.",
    "{path} has {count} fault: {reason}; expected entries like those of the shipped table. Mend them and read it "
    "again.",
    "{path} has {count} faults: {reason}; expected entries like those of the shipped table. Mend them and read it "
    "again.",
    "{path} has {count} bytes; expected at most {most}. Shorten the table.",
    "{path} is not UTF-8 text; expected a TOML table of liquids. Save it as UTF-8.",
)

PORTS = (
    "port {port} is no address; expected socket://host:port, port 1 to 65535",
    "nobody answers at {port} ({reason}); expected a serial server listening there; check host, port number and that "
    "it is running",
    "port {port} refuses the line's settings ({settings}); expected a port that can do them; check [line] in the "
    "profile",
    "port {port} cannot be understood ({reason}); expected a device such as /dev/ttyACM0 or COM5, or "
    "socket://host:port, rfc2217://host:port, loop://",
    "port {port} may not be opened by this user; expected membership of group {group}; run  {command}  then log out "
    "and in again",
    "port {port} may not be opened by this user; expected read and write permission; ask whoever administers this "
    "machine",
    "port {port} is in use by another program; expected it to be free; close the other program (a terminal, another "
    "logger, a modem manager) and try again",
    "there is no port {port}; expected a device that is plugged in; satline ports lists what is there",
    "the serial server at {port} does not confirm the control lines; expected it to; where the device needs none, add "
    "?ign_set_control to the address",
    "port {port} cannot be opened ({reason}); expected a serial device; satline ports lists what is there",
    "lost {port}: {why}; expected it to stay open; check cable and power, it is tried again",
    "the line went away",
)

POOL = (
    "the sample is a mixture; pool pure liquids",
    "the run is not closed; close it, or mend it with 'satline verify --repair'",
    "a table does not say what was measured and how its air was treated; give --liquid and --air",
    "--air {given} does not give a temperature and a pressure",
    "its run plan does not fit this version: {key}: {reason}",
    "its analysis ended the worker process",
    "something unforeseen went wrong ({reason})",
    "the same content as another file",
    "its liquid is {liquid}, the pool is of {its_liquid}",
    "it is {state}, the pool is of {simulated} runs",
    "measured",
    "simulated",
    "its air was treated as {air}, that of the pool as {its_air}",
    "there are {count} usable runs; expected at least two. Give more run files, or look at the reasons in the table of "
    "runs",
    "there are {count} usable runs (left out: {reasons}); expected at least two. Give more run files, or look at the "
    "reasons in the table of runs",
    "none of the {count} files can be used: {reasons}",
    "the folder {path} holds no run file and no CSV table; choose one that does",
    "{path} is to be read and would be written; give another folder for the results",
    "the worker processes end with every file they are given ({count} so far); expected them to run. Try --workers 0, "
    "which does the work without them, or --workers 1 where memory is short",
)

#: Parts of what is wrong in a table of points: what was found, what was expected.
IN_TABLES = (
    "the file has {count} bytes", "a table of at most {count}", "bytes that are not UTF-8 text",
    "a CSV table of points", "a line of {count} characters", "at most {count}", "no line with text",
    "a header such as {example}", "no column {column} and no {second}", "no column {column}", "all of: {example}",
    "{count} rows", "the column {column} (did you mean {near}?)", "the column {column} twice", "each column once",
    "the column {column} without a unit", "the column {column}",
    "the unit {unit} of {column} (did you mean {near}?)", "the unit {unit} of {column}",
    "{unit}, a unit of {other}, for {column}", "a unit of {quantity}", "{count} cells",
    "{count}, as in the header", "{cell} as {name}", "a plain number such as 21.84", "the branch {cell}",
)  # fmt: skip

#: Parts of what is wrong in a plan or a device profile.
IN_TOML = (
    "more than {count} bytes", "a file that a person wrote", "a text in UTF-8", "a readable TOML file",
    "brackets within brackets without end", "a few levels at most", "valid TOML ({reason})",
    'text needs quotes: key = "text"', "did you mean {near}?", "nothing", "unknown key {given}", "a table",
    "an empty table", "a list of {count}", "a text in quotes", "true or false", "a whole number", "a number",
    "a finite number", "this key, which is required", "a list",
    "a text of at most {count} characters", "one of {names}", "kind to be one of {names}",
    "the key 'kind'", "a value {limit}", "at least {count} entries", "at most {count} entries",
    "{value} has no unit", "a {quantity} as text with its unit, for example {example}", "{value} is a {other}",
    'a temperature difference, for example "0.3 K"', 'a share, for example 0.45 or "45 %"',
    "a share from 0 to 1 (0 % to 100 %)", "a {quantity}",
    "unknown unit {unit}; did you mean {near}?", "unknown unit {unit}",
    "a number and a unit, for example '101.3 kPa' or '21.5 degC'", "for example '101.3 kPa' or '21.5 degC'",
    "targets that rise from step to step", "a plateau", "give targets, or first_as_found = true",
    "least to hold {count} falling shares, one for each name but the last", "found {count}",
    "at least one of points, mishaps, result, waiting with a weight above 0", "patience above 0 s",
    "targets up to the limit of {limit} degC",
    "lower {value} degC, or raise limits.temperature where your local rules allow it",
)  # fmt: skip

#: What a table or a plan without a file of its own is called.
UNNAMED = ("run plan", "settings")
QUANTITIES = ("temperature", "temperature difference", "pressure", "volume", "time", "fraction")

#: What a fault in a table or a TOML file is wrapped in; they fit many a text, so they come last.
FRAMES = (
    "unknown unit {unit}; expected one of {names}; did you mean {near}?",
    "unknown unit {unit}; expected one of {names}",
    "{path}:{line}: {key}: found {found}; expected {expected}; {hint}",
    "{path}:{line}: {key}: found {found}; expected {expected}",
    "{path}:{line}: found {found}; expected {expected}; {hint}",
    "{path}:{line}: found {found}; expected {expected}",
    "Row {row}: {found}; expected {expected}",
    "{path}:{line}: {found}; expected {expected}",
    "{path}: found {found}; expected {expected}",
)

#: All of them; where one sentence fits two, the first is meant.
SENTENCES = (
    *RUN_FILES, *CHECKS, *PLACES, *NAMES, *LIQUIDS, *PORTS, *POOL, *FRAMES,
)  # fmt: skip
#: Parts of sentences: only what stands within another is one of these.
PARTS = (*IN_TABLES, *IN_TOML, *QUANTITIES, *UNNAMED)
