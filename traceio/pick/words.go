package pick

import (
	"regexp"
	"strings"
	"unicode"
)

// The words by which columns say what they hold, without accents, in the
// common languages of Europe. They are common usage, no source; whatever they
// miss, --force and --time reach.
var (
	// Anywhere in a word: German joins words, as in "Zugkraft".
	forceParts = []string{
		"force", "kraft", "kracht", "fuerza", "forza", "forca", "voima", "kuvvet", "grf",
		"\u0441\u0438\u043b\u0430" /* Russian */, "\u03b4\u03c5\u03bd\u03b1\u03bc\u03b7", /* Greek */
		"\u8377\u91cd", "\u5f35\u529b", "\u885d\u6483\u529b", // Japanese: load, tension, impact force
	}
	// Whole words.
	forceWords = set("load", "loads", "loadcell", "tension", "carga", "carico", "charge", "effort", "traction",
		"sila", "ero", "forta", "jou", "obciazenie", "\u529b")

	timeParts = []string{"zeit", "time", "\u0432\u0440\u0435\u043c\u044f", "\u03c7\u03c1\u03bf\u03bd\u03bf\u03c2", "\u6642\u9593", "\u6642\u523b"}
	timeWords = set("tempo", "temps", "tiempo", "tijd", "tid", "czas", "cas", "aika", "ido", "timp", "zaman",
		"timestamp", "elapsed", "seconds", "seconde", "secondes", "segundos", "secondi", "sekunden")

	counterWords = set("sample", "samples", "index", "idx", "#", "no", "nr", "n", "count", "counter", "point",
		"row", "muestra", "amostra", "campione", "messpunkt", "echantillon")

	// Quantities that are no force, at the beginning of a word.
	otherParts = []string{
		"accel", "acel", "beschl", "veloc", "veloz", "speed", "vitesse", "geschw", "posit", "posic",
		"displ", "despl", "deplac", "verpl", "spost", "exten", "elong", "along", "stretch", "dehn", "strain",
		"deflec", "temper", "volt", "spannung", "angle", "winkel", "work", "energ", "press", "druck", "mass",
		"humid", "volume", "diam", "length", "height", "weight", "gyro", "rotat", "deform", "travel",
	}
	otherWords = set("acc", "x", "y", "z", "a", "v", "h", "weg", "hub", "ax", "ay", "az", "g")
)

// A stretch, or how far the mass or the end has moved, and an acceleration, at
// the beginning of a word.
var (
	stretchParts = []string{
		"displ", "despl", "desloc", "deplac", "verpl", "verschieb", "spost", "przemieszcz", "posun", "siirtym",
		"exten", "elong", "along", "alarg", "allong", "allung", "stretch", "dehn", "rek", "verlang", "wydluz", "prodlouz", "venym",
		"strain", "deform", "verform", "posit", "posic", "posiz", "stroke", "travel", "traverse", "crosshead",
		"\u043f\u0435\u0440\u0435\u043c\u0435\u0449" /* Russian */, "\u03bc\u03b5\u03c4\u03b1\u03c4\u03bf\u03c0", /* Greek */
	}
	stretchWords = set("weg", "hub", "carrera", "course", "corsa", "curso")

	accelerationParts = []string{"accel", "acel", "beschl", "versnel", "kiihty", "przysp", "zrychl", "gyorsul"}
	accelerationWords = set("a", "acc", "ax", "ay", "az", "ivme")
)

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

var accents = strings.NewReplacer(
	"\u00e0", "a", "\u00e1", "a", "\u00e2", "a", "\u00e3", "a", "\u00e4", "a", "\u00e5", "a", "\u0105", "a",
	"\u00e7", "c", "\u0107", "c", "\u010d", "c", "\u00e8", "e", "\u00e9", "e", "\u00ea", "e", "\u00eb", "e", "\u0119", "e", "\u011b", "e",
	"\u00ec", "i", "\u00ed", "i", "\u00ee", "i", "\u00ef", "i", "\u0142", "l", "\u00f1", "n", "\u0144", "n",
	"\u00f2", "o", "\u00f3", "o", "\u00f4", "o", "\u00f5", "o", "\u00f6", "o", "\u00f8", "o", "\u0151", "o",
	"\u0159", "r", "\u015b", "s", "\u0161", "s", "\u0219", "s", "\u021b", "t", "\u0163", "t", "\u00fa", "u", "\u00f9", "u", "\u00fb", "u", "\u00fc", "u", "\u0171", "u",
	"\u00fd", "y", "\u017e", "z", "\u017c", "z", "\u017a", "z",
	"\u03cd", "\u03c5", "\u03cc", "\u03bf", // Greek with accents
)

// fold makes names comparable: lower case, no accents, single spaces.
func fold(s string) string {
	return accents.Replace(strings.ToLower(strings.Join(strings.Fields(s), " ")))
}

// words cuts a folded name into words. "#" is a word.
func words(folded string) []string {
	return strings.FieldsFunc(folded, func(r rune) bool {
		return !unicode.IsLetter(r) && r != '#'
	})
}

func saysForce(name string) bool {
	f := fold(name)
	return f == "f" || says(f, forceParts, forceWords, strings.Contains)
}

func saysTime(name string) bool {
	// A capital T alone is as often a temperature.
	return name == "t" || says(fold(name), timeParts, timeWords, strings.HasSuffix)
}

func saysCounter(name string) bool { return says(fold(name), nil, counterWords, nil) }

func saysStretch(name string) bool {
	return says(fold(name), stretchParts, stretchWords, strings.HasPrefix)
}

func saysAcceleration(name string) bool {
	return says(fold(name), accelerationParts, accelerationWords, strings.HasPrefix)
}

func saysOther(name string) bool { return says(fold(name), otherParts, otherWords, strings.HasPrefix) }

func says(folded string, parts []string, whole map[string]bool, part func(s, part string) bool) bool {
	for _, w := range words(folded) {
		if whole[w] {
			return true
		}
		for _, p := range parts {
			if part(w, p) {
				return true
			}
		}
	}
	return false
}

// namesDrops is a title that says which drop a row belongs to; common usage, no
// source.
var namesDrops = regexp.MustCompile(`^(?:drop|run|specimen|sweep|test|trial|fall|versuch|lauf|sturz|probe|prufling|essai|chute|eprouvette|` +
	`prueba|ensayo|caida|probeta|ensaio|queda|prova|caduta|provino|proef|meting|proba|zkouska)(?:[ _-]*(?:no|nr|number|nummer|numero|num|id|name|label|#))?[ .]*$`)

// NamesDrops reports whether the column's title says that it tells which drop a
// row belongs to: "Drop", "Run no.", "Versuch Nr".
func (c Column) NamesDrops() bool { return c.Unit == "" && namesDrops.MatchString(fold(c.Name)) }
