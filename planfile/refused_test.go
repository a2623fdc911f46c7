package planfile

// refusedFiles are the demonstration's study file with one piece replaced, and
// what is said of it.
var refusedFiles = []struct{ old, new, want string }{
	{`adjust = "holm"`, `adjust = "Holm"`, `
s.toml:192: "Holm" is no adjust known here
192 | adjust = "Holm"
    |          ^^^^^^
-> write: adjust = "holm"`},
	{`adjust = "holm"`, `falls = "lines"`, `
s.toml:192: "lines" is no falls known here
192 | falls = "lines"
    |         ^^^^^^^
-> write one of: levels, trend, trend-per-specimen`},
	{`adjust = "holm"`, `blocks = ["day", "rig"]`, `
s.toml:192: "rig" is no block
192 | blocks = ["day", "rig"]
    |                  ^^^^^
-> the blocks are: "rope", "day"; specimens are always one`},
	{`adjust = "holm"`, `spread = true`, `
s.toml:192: true is true or false, and spread is one of the words equal, by condition, in quotes
192 | spread = true
    |          ^^^^
-> write, such as: spread = "by condition"`},
	{`adjust = "holm"`, `adjusted = "holm"`, `
s.toml:192: [analysis] has no key "adjusted"
192 | adjusted = "holm"
    | ^^^^^^^^
-> write adjust, such as: adjust = "holm"`},
	{`margin  = "5 %"`, `margn = "5 %"`, `
s.toml:22: [[question]] has no key "margn"
22 | margn = "5 %"
   | ^^^^^
-> write margin, such as: margin = "5 %"`},
	{`margin  = "5 %"`, `colour = "red"
margin = "5 %"`, `
s.toml:22: [[question]] has no key "colour"
22 | colour = "red"
   | ^^^^^^
-> its keys are: name, asks, value, compare, with, falls, margin, with_falls, trend, claim, about`},
	{`with    = "Marram dry"`, `baseline = "Marram dry"`, `
s.toml:20: [[question]] has no key "baseline"
20 | baseline = "Marram dry"
   | ^^^^^^^^
-> write with, such as: with = "Marram dry"`},
	{`margin  = "5 %"`, `margin = 5`, `
s.toml:22: "5" has no unit
22 | margin = 5
   |          ^
-> a force is given in kN, N, lbf or kgf, a share is given in %: write "5 kN" or "5 %"`},
	{`margin  = "5 %"`, `margin = "0.05"`, `
s.toml:22: "0.05" has no unit
22 | margin = "0.05"
   |          ^^^^^^
-> a force is given in kN, N, lbf or kgf, a share is given in %: write "0.05 kN" or "5 %" for 0.05 of the whole`},
	{`margin  = "5 %"`, `margin = "5 mm"`, `
s.toml:22: "5 mm" is a length, not a force or a share
22 | margin = "5 mm"
   |          ^^^^^^
-> a force is given in kN, N, lbf or kgf, a share is given in %: write "5 kN" or "5 %"`},
	{`margin  = "5 %"`, `margin = "-5 %"`, `
s.toml:22: the margin is -5 %, which is not above zero
22 | margin = "-5 %"
   |          ^^^^^^
-> give the smallest difference that matters, such as "5 %" or an amount in the value's own unit`},
	{`margin  = "5 %"`, `margin = ["5 %"]`, `
s.toml:22: this is a list, and margin is a quantity in quotes
22 | margin = ["5 %"]
   |          ^^^^^^^
-> write, such as: margin = "5 %"`},
	{`value   = "peak force"`, `value = "peak"`, `
s.toml:18: "peak" is no value that a question can be about
18 | value = "peak"
   |         ^^^^^^
-> the values are: "peak force", "rebound speed", "largest stretch", "energy absorbed"`},
	{`with    = "Marram dry"`, `with = "Marram wet"`, `
s.toml:20: there is no condition "Marram wet"
20 | with = "Marram wet"
   |        ^^^^^^^^^^^^
-> the plan has: "Marram dry", "Marram soaked", "Marram dried", "Samphire dry", "Samphire soaked", "Samphire dried"`},
	{`compare = "Marram soaked"`, `compare = "Marram dry"`, `
s.toml:19: condition "Marram dry" would be compared with itself
19 | compare = "Marram dry"
   |           ^^^^^^^^^^^^
-> name two different conditions
-> for a condition with itself at another fall, say which: with_falls = [1]`},
	{`falls   = [5]`, `falls = [1, 6]`, `
s.toml:30: fall 6 is outside the series, which has 5 falls
30 | falls = [1, 6]
   |             ^
-> name falls from 1 to 5, or make the series longer`},
	{`falls   = [5]`, `falls = 6`, `
s.toml:30: fall 6 is outside the series, which has 5 falls
30 | falls = 6
   |         ^
-> name falls from 1 to 5, or make the series longer`},
	{`falls   = "1 to 5"`, `falls = "1 to 6"`, `
s.toml:57: fall 6 is outside the series, which has 5 falls
57 | falls = "1 to 6"
   |         ^^^^^^^^
-> name falls from 1 to 5, or make the series longer`},
	{`falls   = "1 to 5"`, `falls = "1 to 100000"`, `
s.toml:57: "1 to 100000" is no range of falls
57 | falls = "1 to 100000"
   |         ^^^^^^^^^^^^^
-> write "1 to 5", or a list: [1, 5]`},
	{`falls   = [5]`, `falls = [5.5]`, `
s.toml:30: 5.5 is a number, and falls is a list of whole numbers, or "1 to 5"
30 | falls = [5.5]
   |          ^^^
-> write, such as: falls = [1]`},
	{`falls   = [5]`, `falls = []`, `
s.toml:30: no fall is named that answers the question
30 | falls = []
   |         ^^
-> name falls of the series, such as 1`},
	{`falls          = 5`, `falls = "5"`, `
s.toml:179: "5" is text, and falls is a whole number, without quotes
179 | falls = "5"
    |         ^^^
-> write, such as: falls = 5`},
	{`falls          = 5`, `falls = 5 falls`, `
s.toml:179: 5 falls is no value for falls
179 | falls = 5 falls
    |         ^^^^^^^
-> write, such as: falls = 5`},
	{`mass             = "80 kg"`, `mass = "80 m"`, `
s.toml:172: "80 m" is a length, not a mass
172 | mass = "80 m"
    |        ^^^^^^
-> a mass is given in kg, g or lb: write "80 kg"`},
	{`mass             = "80 kg"`, `mass = 80`, `
s.toml:172: "80" has no unit
172 | mass = 80
    |        ^^
-> a mass is given in kg, g or lb: write "80 kg"`},
	{`mass             = "80 kg"`, `mass = 80 kg # block`, `
s.toml:172: 80 kg is not in quotes
172 | mass = 80 kg # block
    |        ^^^^^
-> write: mass = "80 kg"`},
	{`mass             = "80 kg"`, `mass = "0 kg"`, `
s.toml:172: the mass is 0 kg
172 | mass = "0 kg"
    |        ^^^^^^
-> give a value above zero`},
	{`drop             = "1.42 m"`, `drop = "1,42 m"`, `
s.toml:174: "1,42 m" has a comma, and numbers here have a decimal point
174 | drop = "1,42 m"
    |        ^^^^^^^^
-> write "1.42 m"`},
	{`drop             = "1.42 m"`, `drop = 1,42 m`, `
s.toml:174: 1,42 m is not in quotes
174 | drop = 1,42 m
    |        ^^^^^^
-> write: drop = "1.42 m"`},
	{`drop             = "1.42 m"`, `drop = “1.42 m”`, `
s.toml:174: “1.42 m” is not in quotes
174 | drop = “1.42 m”
    |        ^^^^^^^^
-> write: drop = "1.42 m"`},
	{`mass             = "80 kg"`, `mass = "80 kg`, `
s.toml:172: the quotes are not closed on this line
172 | mass = "80 kg
    |      ^^^^^^^^
-> end the text with "
the rest of the file was not looked at`},
	{`mass             = "80 kg"`, `mass = "80 kg"
mass = "81 kg"`, `
s.toml:173: mass stands here a second time
173 | mass = "81 kg"
    | ^^^^
-> keep one of the two
the rest of the file was not looked at`},
	{`mass             = "80 kg"`, `mass "80 kg"`, `
s.toml:172: this is neither a key with its value nor the head of a part
172 | mass "80 kg"
    | ^^^^^^^^^^^^
-> write: key = "value", or begin the line with # for a remark
the rest of the file was not looked at`},
	{`rest           = "3 min"`, `rest = "3 m"`, `
s.toml:181: "3 m" is a length, not a time
181 | rest = "3 m"
    |        ^^^^^
-> a time is given in s, min, h or ms: write "3 min"`},
	{`rest           = "3 min"`, `rest = "9000 h"`, `
s.toml:181: rest is longer than a year
181 | rest = "9000 h"
    |        ^^^^^^^^
-> give a time, such as "3 min"`},
	{`rest_tolerance = "15 s"`, `tolerance = "15 s"`, `
s.toml:182: [series] has no key "tolerance"
182 | tolerance = "15 s"
    | ^^^^^^^^^
-> write rest_tolerance, such as: rest_tolerance = "15 s"`},
	{`[series]`, `[serie]`, `
s.toml:178: there is no part "serie"
178 | [serie]
    | ^^^^^^^
-> write [series]`},
	{`[series]`, `[[series]]`, `
s.toml:178: [series] comes once
178 | [[series]]
    | ^^^^^^^^^^
-> write [series], once`},
	{`[[setting]]`, `[setting]`, `
s.toml:170: [setting] can come several times
170 | [setting]
    | ^^^^^^^^^
-> write [[setting]]`},
	{`[[rope]]`, `[[ropes]]`, `
s.toml:106: there is no part "ropes"
106 | [[ropes]]
    | ^^^^^^^^^
-> write [[rope]]`},
	{`[rig]`, `[forecast]
wind = "calm"

[rig]`, `
s.toml:162: there is no part "forecast"
162 | [forecast]
    | ^^^^^^^^^^
-> the parts are: study, question, factor, condition, combinations, rope, specimen, cut, rig, setting, series, reading, analysis, cutting, order, days, preparation, numbers, water`},
	{`[rig]`, `[study]
[rig]`, `
s.toml:162: study stands here a second time
162 | [study]
    |  ^^^^^
-> keep one of the two
the rest of the file was not looked at`},
	{`# An invented study`, `colour = "red"
# An invented study`, `
s.toml:1: "colour" stands above all parts of the file
1 | colour = "red"
  | ^^^^^^
-> put it below the line of the part it belongs to, such as [study]`},
	{`# An invented study`, `title = "x"
# An invented study`, `
s.toml:1: "title" stands above all parts of the file
1 | title = "x"
  | ^^^^^
-> put it below the line [study]`},
	{`fallwright = 1`, ``, `
s.toml: the file does not say which format it is in
-> write above everything else: fallwright = 1`},
	{`fallwright = 1`, `fallwright = 2`, `
s.toml:4: 2 is not a format of study files known here
4 | fallwright = 2
  |              ^
-> read it with a newer fallwright; this one reads format 1`},
	{`fallwright = 1`, `fallwright = "one"`, `
s.toml:4: "one" is not a format of study files known here
4 | fallwright = "one"
  |              ^^^^^
-> write: fallwright = 1`},
	{`fallwright = 1`, `falwright = 1`, `
s.toml:4: "falwright" stands above all parts of the file
4 | falwright = 1
  | ^^^^^^^^^
-> write: fallwright = 1`},
	{`name     = "sea-water"`, `name = "Sea water"`, `
s.toml:7: the name "Sea water" is not one word of a-z, 0-9 and hyphens
7 | name = "Sea water"
  |        ^^^^^^^^^^^
-> write "sea-water"`},
	{`title    = "Sea water and the catch"`, `title = ""`, `
s.toml:8: title is empty
8 | title = ""
  |         ^^
-> write, such as: title = "Sea water and the catch"`},
	{`title    = "Sea water and the catch"`, ``, `
s.toml:6: [study] has no title
6 | [study]
  | ^^^^^^^
-> add: title = "Sea water and the catch"`},
	{`invented = true`, `invented = "true"`, `
s.toml:11: "true" is text, and invented is true or false, without quotes
11 | invented = "true"
   |            ^^^^^^
-> write, such as: invented = true`},
	{`baseline = true`, ``, `
s.toml:79: none of the 6 conditions is the baseline
79 | [[condition]]
   | ^^^^^^^^^^^^^
-> mark the one that the others are compared with
-> add to it: baseline = true`},
	{`{ rope = "marram", water = "soaked" }`, `{ rope = "marram", water = "wet" }`, `
s.toml:86: factor "water" has no level "wet"
86 | levels = { rope = "marram", water = "wet" }
   |                             ^^^^^^^^^^^^^
-> the levels are: "dry", "soaked", "dried"`},
	{`{ rope = "marram", water = "soaked" }`, `{ rope = "marram", watr = "soaked" }`, `
s.toml:86: there is no factor "watr"
86 | levels = { rope = "marram", watr = "soaked" }
   |                             ^^^^^^^^^^^^^^^
-> the plan has: "rope", "water"`},
	{`{ rope = "marram", water = "soaked" }`, `{ rope = "marram" }`, `
s.toml:86: it does not say its level of factor "water"
86 | levels = { rope = "marram" }
   |          ^^^^^^^^^^^^^^^^^^^
-> the levels are: "dry", "soaked", "dried"`},
	{`{ rope = "marram", water = "soaked" }`, `["marram", "soaked"]`, `
s.toml:86: this is a list, and levels is a table with one level for each factor
86 | levels = ["marram", "soaked"]
   |          ^^^^^^^^^^^^^^^^^^^^
-> write, such as: levels = { rope = "marram", water = "dry" }`},
	{`["dry", "soaked", "dried"]`, `["dry", "soaked", 3]`, `
s.toml:77: 3 is a whole number, and levels is a list of texts
77 | levels = ["dry", "soaked", 3]
   |                            ^
-> write, such as: levels = ["dry", "soaked"]`},
	{`diameter        = "9.6 mm"`, `diameter = "0 mm"`, `
s.toml:109: diameter is zero
109 | diameter = "0 mm"
    |            ^^^^^^
-> leave diameter out when it is not known`},
	{`length          = "60 m"`, `length = "30 m"`, `
s.toml:131: M-09: it ends at 31.6 m, and the rope "Marram 9.6" is 30 m long
131 | each   = "3.40 m"
    |          ^^^^^^^^
-> move the piece, or correct the length of the rope`},
	{`"M-04", "M-05"`, `"M-04", "M-01"`, `
s.toml:135: the label "M-01" is taken by specimen 1
135 |   "M-04", "M-01", "M-06",
    |           ^^^^^^
-> give one of the two another label`},
	{`"M-04", "M-05"`, `"M-04"`, `
s.toml:138: there are 9 conditions for 8 labels
138 | conditions = [
    |              ^
-> give one condition for each label, in the same order, or one text for all`},
	{`"M-01", "M-02", "M-03",`, `"M-01", "M-02", "M-03"`, `
s.toml:135: the list before this is not closed, or lacks a comma
135 |   "M-04", "M-05", "M-06",
    |   ^^^^^^
-> write: [1, 2, 3]
the rest of the file was not looked at`},
	{`each   = "3.40 m"`, `each = "-3.40 m"`, `
s.toml:131: each piece is -3.4 m long
131 | each = "-3.40 m"
    |        ^^^^^^^^^
-> give a length above zero, such as "3.40 m"`},
	{`each   = "3.40 m"`, ``, `
s.toml:130: there is from and no each
130 | from   = "1 m"
    | ^^^^
-> add: each = "3.40 m"`},
	{`each   = "3.40 m"`, `eech = "3.40 m"`, `
s.toml:131: [[cut]] has no key "eech"
131 | eech = "3.40 m"
    | ^^^^
-> write each, such as: each = "3.40 m"`},
	{`lot    = "Samphire 9.6 treated"`, `lot = "Samphire"`, `
s.toml:145: S-01: there is no rope of lot "Samphire"
145 | lot = "Samphire"
    |       ^^^^^^^^^^
-> the plan has: "Marram 9.6", "Samphire 9.6 treated"`},
	{`filter = "CFC 60"`, `filter = "CFC60"`, `
s.toml:185: "CFC60" is no filter
185 | filter = "CFC60"
    |          ^^^^^^^
-> write "CFC 60", "CFC 180", "CFC 600", "CFC 1000" or "none"`},
	{`filter = "CFC 60"`, `filter = "CFC 70"`, `
s.toml:185: there is no filter class CFC 70
185 | filter = "CFC 70"
    |          ^^^^^^^^
-> the classes are CFC 60, 180, 600 and 1000 (ISO 6487), or none`},
	{`[reading]
filter = "CFC 60"`, ``, `
s.toml: the file has no part [reading]
-> add [reading] with its keys: filter = "CFC 60"`},
	{`guide            = "two steel wires"`, `gravity = "1.62 m/s2"`, `
s.toml:168: gravity of 1.62 m/s2 is found nowhere on the ground, where it is between 9.7 and 9.9
168 | gravity = "1.62 m/s2"
    |           ^^^^^^^^^^^
-> leave it out for the standard value, 9.80665 m/s2`},
	{`guide            = "two steel wires"`, `guide = "C:\wires"`, `
s.toml:168: a backslash inside quotes stands for a special character, and this is none
168 | guide = "C:\wires"
    |            ^^^^^^^
-> inside quotes write \\ for a backslash, or put the text in single quotes
the rest of the file was not looked at`},
	{`"M-07", "M-08", "M-09",
]`, `"M-07", "M-08", "M-09",
falls = 5`, `
s.toml:137: the list before this is not closed, or lacks a comma
137 | falls = 5
    | ^^^^^
-> write: [1, 2, 3]
the rest of the file was not looked at`},
	{`each   = "3.40 m"`, `each = "0 m"`, `
s.toml:131: each piece is 0 m long
131 | each = "0 m"
    |        ^^^^^
-> give a length above zero, such as "3.40 m"`},
	{`filter = "CFC 60"`, `filter = "CFC 0"`, `
s.toml:185: "CFC 0" is no filter
185 | filter = "CFC 0"
    |          ^^^^^^^
-> write "CFC 60", "CFC 180", "CFC 600", "CFC 1000" or "none"`},
	{`cell_uncertainty = "0.5 %"`, `cell_uncertainty = "50 %"`, `
s.toml:166: the uncertainty of the cell is 50 %, outside 0 to 20 %
166 | cell_uncertainty = "50 %"
    |                    ^^^^^^
-> give the standard uncertainty (k = 1), such as "0.5 %"; a certificate with k = 2 states twice that`},
	{`cell_uncertainty = "0.5 %"`, `cell_uncertainty = "0 %"`, `
s.toml:166: cell_uncertainty is zero
166 | cell_uncertainty = "0 %"
    |                    ^^^^^
-> leave cell_uncertainty out when it is not known`},
	{`cell_uncertainty = "0.5 %"`, `edge_angle = "90"`, `
s.toml:166: "90" has no unit
166 | edge_angle = "90"
    |              ^^^^
-> an angle is given in deg or rad: write "90 deg"`},
	{`cell_uncertainty = "0.5 %"`, `edge_friction = "0.2"
edge_angle = "90 deg"`, `
s.toml:166: "0.2" is text, and edge_friction is a number without a unit, without quotes
166 | edge_friction = "0.2"
    |                 ^^^^^
-> write, such as: edge_friction = 0.2`},
	{`cell_uncertainty = "0.5 %"`, `edge_friction = 2
edge_angle = "90 deg"`, `
s.toml:166: the friction of the edge is 2, outside 0 to 1
166 | edge_friction = 2
    |                 ^
-> give a number such as 0.2, or leave it out`},
	{`cell_uncertainty = "0.5 %"`, `edge_friction = 0.2
edge_angle = "800 deg"`, `
s.toml:167: the rope turns by 800 degrees at the edge, outside 0 to 720
167 | edge_angle = "800 deg"
    |              ^^^^^^^^^
-> give the angle between the rope before the edge and after it, such as "90 deg"`},
	{`cell_uncertainty = "0.5 %"`, `gate_above = "10 cm"`, `
s.toml:166: there is a light gate, and the width of its flag is not given
166 | gate_above = "10 cm"
    |              ^^^^^^^
-> give gate_flag, such as "20 mm", or leave gate_above out`},
	{`mass_uncertainty = "50 g"`, `mass_uncertainty = "50 kg"`, `
s.toml:173: the uncertainty of the mass is 50 kg, outside 0 to 20 % of its 80 kg
173 | mass_uncertainty = "50 kg"
    |                    ^^^^^^^
-> give the standard uncertainty (k = 1): how far off it is likely to be, in the unit of the mass`},
	{`filter = "CFC 60"`, `filter = "CFC 60"
rate = "0 Hz"`, `
s.toml:186: a rate of "0 Hz" is no sample rate: it lies above 0 Hz, up to 1 GHz
186 | rate = "0 Hz"
    |        ^^^^^^
-> give the samples a second, such as "2000 Hz", or leave rate out when the file has times`},
	{`filter = "CFC 60"`, `filter = "CFC 60"
separator = ";"`, `
s.toml:186: [reading] has no key "separator"
186 | separator = ";"
    | ^^^^^^^^^
-> write delimiter, such as: delimiter = "semicolon"`},
}
