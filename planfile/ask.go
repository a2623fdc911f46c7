package planfile

import (
	"slices"
	"strconv"
	"strings"

	"fallwright.example/num/quantity"
	"fallwright.example/trace"
)

// The words that a recipe's keys may have. Those of a pull are the program's own,
// the others are the ones that readers of files take.
var (
	unitWords      = []string{"N", "mN", "daN", "kN", "lbf", "kgf", "g", "m/s2"}
	delimiterWords = []string{"comma", "semicolon", "tab", "space", "bar"}
	decimalWords   = []string{"point", "comma"}
	pullWords      = []string{"positive", "negative"}
)

// fastest is the highest sample rate, in hertz, that a file may be said to have;
// beyond it is a slip.
const fastest = 1e9

// ask reads the keys that say how trace files are read; what is not given is
// left to be found in the file.
func (f form) ask() trace.Ask {
	a := trace.Ask{
		Rate:  f.rate(),
		Force: f.nameOrNumber("force"), Time: f.nameOrNumber("time"),
		Stretch: f.nameOrNumber("stretch"), Gate: f.nameOrNumber("gate"),
		Unit: f.word("unit", unitWords), Delimiter: f.word("delimiter", delimiterWords), Decimal: f.word("decimal", decimalWords),
		Sheet: f.nameOrNumber("sheet"), Part: f.nameOrNumber("part"),
		FullScale: f.fullScale(),
	}
	switch f.word("pull", pullWords) {
	case "positive":
		a.Pull = trace.PullPositive
	case "negative":
		a.Pull = trace.PullNegative
	}
	return a
}

// rate reads a sample rate.
func (f form) rate() float64 {
	v := f.in("rate", quantity.Frequency)
	if e, there := f.node.get("rate"); there && !f.spoilt(f.field("rate")) && !(v > 0 && v <= fastest) {
		f.refuse(e.value.at, "a rate of %s is no sample rate: it lies above 0 Hz, up to 1 GHz", shown(e.value)).
			Hint(`give the samples a second, such as "2000 Hz", or leave rate out when the file has times`)
		f.spoil(f.field("rate"))
	}
	return v
}

// fullScale reads the force at a sample of 1.
func (f form) fullScale() float64 {
	v := f.number("full_scale")
	if e, there := f.node.get("full_scale"); there && !f.spoilt(f.field("full_scale")) && !(v > 0) {
		f.refuse(e.value.at, "a full scale of %s is not above zero", shown(e.value)).
			Hint("give the force at a sample of 1, in the unit that the key unit names: full_scale = 20")
		f.spoil(f.field("full_scale"))
	}
	return v
}

// nameOrNumber reads a column, sheet or drop: by name, or by number from 1.
func (f form) nameOrNumber(name string) string {
	n := f.take(name)
	if n == nil {
		return ""
	}
	const wanted = "a name in quotes, or a whole number from 1"
	if n.kind == isText {
		if strings.TrimSpace(n.text) == "" {
			k, _ := f.part.key(name)
			f.refuse(n.at, "%s is empty", name).Hint("write, such as: %s, or leave it out", k.line())
			f.spoil(f.field(name))
		}
		return n.text
	}
	v, ok := n.whole()
	if !ok || v < 1 {
		f.wrong(n, name, wanted)
		return ""
	}
	return strconv.Itoa(v)
}

// word reads one of a few words.
func (f form) word(name string, of []string) string {
	n := f.take(name)
	if n == nil {
		return ""
	}
	if n.kind != isText {
		f.wrong(n, name, "one of the words "+strings.Join(of, ", ")+", in quotes")
		return ""
	}
	if slices.Contains(of, n.text) {
		return n.text
	}
	q := f.refuse(n.at, "%s is no %s known here", shown(n), name)
	f.spoil(f.field(name))
	if i := slices.IndexFunc(of, func(w string) bool { return strings.EqualFold(w, n.text) }); i >= 0 {
		q.Hint("write: %s = %q", name, of[i])
	} else {
		q.Hint("write one of: %s", strings.Join(of, ", "))
	}
	return ""
}
