package delimited

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// statement is a rate that a line above the table states.
type statement struct {
	rate float64 // Hz
	no   int     // of the line
	text string

	other float64 // Hz, where its point parts thousands; 0 where it cannot
	open  string  // why rate is not known though a number stands there
}

// The words before a rate or an interval, in the languages of package pick;
// common usage, no source.
var (
	rateWords = `sampl\w*[ _-]*(?:rate|freq\w*)|sampling[ _-]*(?:rate|freq\w*)|rate of sampling|data[ _-]*rate|scan[ _-]*rate|acquisition[ _-]*rate|samplerate` +
		`|abtast(?:rate|frequenz)|messrate|messfrequenz|fr[eé]quence d.?[eé]chantillonnage|taxa de (?:amostragem|aquisi\S*)|frequ[eê]ncia de amostragem` +
		`|frecuencia de muestreo|tasa de muestreo|frequenza di campionamento|bemonsteringsfrequentie|cz[eę]stotliwo\S* pr[oó]bkowania|vzorkovac\S* frekvence|n[aä]ytteenottotaajuus|fs`
	intervalWords = `sampl\w*[ _-]*(?:interval|period|time)|sampling[ _-]*(?:interval|period|time)|time[ _-]*(?:step|increment|interval)|interval|intervall|abtast(?:intervall|zeit|periode)|messintervall` +
		`|intervalo(?: de amostragem| de muestreo)?|intervalle(?: d.?[eé]chantillonnage)?|intervallo(?: di campionamento)?|p[eé]riode d.?[eé]chantillonnage|delta[ _-]?t|x[ _-]?increment|dt`
	stating = regexp.MustCompile(`(?i)^[\s#%*"'/;,|]*(` + rateWords + `|(` + intervalWords + `))[\s"]*(?:[(\[]([^)\]]*)[)\]])?[\s"]*[:=;,\t| ]+[\s"]*` +
		`([0-9][0-9.,' ]*(?:[eE][-+]?[0-9]+)?)[\s";,|\t]*([^\s";,|]*(?: ?/ ?s)?)`)
)

// rates is what the lines above a table state of its rate; the texts of those
// that none does are empty.
type rates struct {
	first  statement
	second statement // another that disagrees with it
	open   statement // one that may mean something else, "2,000 Hz", "Data rate: 115200"
}

// stated finds the rate that the lines above the table state.
func (t *table) stated() rates {
	var r rates
	for i := 0; i < t.first && i < mostAbove; i++ {
		if t.lines[i].no == t.header {
			continue
		}
		s, ok := t.states(i)
		switch {
		case !ok:
		case s.open != "":
			r.open = s
		case r.first.rate == 0:
			r.first = s
		case math.Abs(s.rate-r.first.rate) > 1e-6*r.first.rate && r.second.rate == 0:
			r.second = s
		}
	}
	return r
}

// mostAbove is how many lines are looked at for a rate.
const mostAbove = 1000

// statesRate reports whether line i states a rate, and so is no header.
func (t *table) statesRate(i int) bool {
	_, ok := t.states(i)
	return ok
}

// states reads the rate from line i; it is 0 where the number can be read in two
// ways.
func (t *table) states(i int) (statement, bool) {
	raw := t.text(i)
	if len(raw) > 300 || !bytes.ContainsAny(raw, "0123456789") {
		return statement{}, false // the pattern is slow where there is none
	}
	line := text(raw)
	m := stating.FindStringSubmatch(line)
	if m == nil {
		return statement{}, false
	}
	if m[5] == "" && fullScale.MatchString(line) || several.MatchString(line[len(m[0]):]) || twoNumbers.MatchString(m[4]) {
		return statement{}, false
	}
	v, open, ok := plainNumber(strings.TrimSpace(strings.TrimRight(m[4], " ,.")))
	unit := m[5]
	if m[3] != "" && (unit == "" || !rateUnit(unit, m[2] != "")) {
		unit = m[3]
	}
	why := ""
	if open {
		why = "can be read in two ways"
	}
	rate := 0.0
	if m[2] != "" {
		u, known := traceio.TimeUnit(unit)
		if unit == "" && v > 0 && v < 0.1 {
			u, known = traceio.Second(), true // "dt=0.001"
		}
		if !known || !ok || v <= 0 || u.SI(v) > longestStep && lasting.MatchString(line) {
			return statement{}, false
		}
		if rate = 1 / u.SI(v); u.SI(v) > longestStep {
			why = fmt.Sprintf("may be the time between two samples, %.6g Hz, or how long it went on", rate)
		}
	} else {
		unit = strings.ReplaceAll(unit, " ", "")
		times, known := hertzUnits[strings.ToLower(unit)]
		if strings.HasPrefix(unit, "mH") || strings.HasPrefix(unit, "mh") {
			known = false // a millihertz is no rate, and "mhz" may be one
		}
		if !known || !ok || v <= 0 {
			return statement{}, false
		}
		if rate = v * times; serial[rate] && unit == "" && dataRate.MatchString(line) {
			why = "may be the speed of a serial line"
		}
	}
	s := statement{rate: rate, no: t.lines[i].no, text: traceio.Shorten(line), open: why}
	switch {
	case why != "":
		s.rate = 0
	case !strings.Contains(m[4], ".") || !grouped([]byte(strings.TrimRight(m[4], " ,.")), '.'):
	case m[2] != "":
		s.other = rate / 1000
	default:
		s.other = rate * 1000
	}
	return s, !math.IsInf(rate, 0)
}

// serial are the usual speeds of a serial line, in bits a second, common usage:
// as a data rate without a unit they are as often that.
var (
	serial = map[float64]bool{
		1200: true, 2400: true, 4800: true, 9600: true, 14400: true, 19200: true, 28800: true, 38400: true, 57600: true,
		115200: true, 230400: true, 460800: true, 921600: true,
	}
	dataRate = regexp.MustCompile(`(?i)^[\s#%*"'/;,|]*data`)
)

// FS is the full scale as often as the sampling frequency: without a unit it is
// no rate. A line with several numbers is a row of a summary. A sampling time of
// half a second and more is how long it went on.
var (
	fullScale  = regexp.MustCompile(`^[\s#%*"'/;,|]*FS\b`)
	several    = regexp.MustCompile(`^[\s";,|\t]*[-+]?[0-9][0-9.,]*[\s";,|\t]*$`)
	twoNumbers = regexp.MustCompile(`^[0-9]{4,},[0-9]{3}`)
	lasting    = regexp.MustCompile(`(?i)^[\s#%*"'/;,|]*(?:sampl\w*|sampling|abtast)[ _-]*(?:time|zeit)`)
)

// longestStep is the longest that a sampling time is the time of one sample, in
// seconds: our own limit.
const longestStep = 0.5

// hertzUnits are the units of a rate, in lower case, with how many hertz they
// are; a bare number after a word for a rate is in hertz.
var hertzUnits = map[string]float64{"": 1, "hz": 1, "khz": 1e3, "mhz": 1e6, "s/s": 1, "sa/s": 1, "ks/s": 1e3, "scans/s": 1, "scans/sec": 1, "samples/sec": 1, "ksa/s": 1e3, "1/s": 1, "sps": 1, "ksps": 1e3, "samples/s": 1}

func rateUnit(unit string, interval bool) bool {
	if interval {
		_, ok := traceio.TimeUnit(unit)
		return ok
	}
	_, ok := hertzUnits[strings.ToLower(unit)]
	return ok
}

// plainNumber reads a number with a point or a comma before its decimals. One
// that may be a number of thousands, "2,000", is open.
func plainNumber(s string) (v float64, open, ok bool) {
	b := []byte(s)
	if bare := unspaced(b); bare != nil {
		b = bare
	}
	for _, mark := range []byte{'.', ','} {
		if out, plain := ungrouped(b, mark); plain {
			b = out
		}
		if v, next, ok := number(b, 0, mark); ok && next == len(b) {
			return v, mark == ',' && bytes.IndexByte(b, ',') >= 0 && grouped(b, ','), true
		}
	}
	return 0, false, false
}

// hint adds to a refusal for want of a time that there is a rate which can be
// read in two ways.
func (r rates) hint(err error) error {
	if r.open.text != "" && r.first.rate == 0 {
		for _, p := range problem.All(err) {
			p.Hint("%q on line %d %s: if it is the rate, say it as --rate HZ", r.open.text, r.open.no, r.open.open)
		}
	}
	return err
}

// doubt is a note on drops whose stamps give another rate than the file states
// above them, by more than a clock strays: a unit of time that is not the one
// read, as a rule.
func (r rates) doubt(times []float64, stamps pick.Column) []trace.Note {
	n := len(times) - 1
	rate := float64(n) / (times[n] - times[0])
	near := func(stated float64) bool { return math.Abs(rate-stated) <= 0.05*stated }
	if r.first.rate == 0 || r.second.rate > 0 || near(r.first.rate) || near(r.first.other) {
		return nil
	}
	return []trace.Note{{Grade: trace.Doubtful, Text: fmt.Sprintf("%q on line %d is another rate than the %.6g Hz of %s: look at its unit, or give --rate", r.first.text, r.first.no, rate, stamps)}}
}

// Rates that a logger of falls can have, in Hz: our own limits, for a rate that a
// point between thousands would make.
const (
	leastRate = 10
	mostRate  = 1e6
)

// open refuses a rate such as "2.000 Hz", which is 2000 Hz where a point parts
// thousands, unless that is no rate for a fall or --decimal settles it.
func (s source) open(r statement, d dialect) error {
	may := r.other >= leastRate && r.other < mostRate || d.mark == ',' && r.other > 0
	if !may || s.ask.Decimal == "point" {
		return nil
	}
	return s.refuse(problem.Invalid, r.no, "%q can be read as %.6g Hz, or with a point between thousands as %.6g Hz", r.text, r.rate, r.other).
		Hint("say which: --rate %.6g or --rate %.6g", r.rate, r.other)
}

// disagree refuses two rates where one is needed.
func (s source) disagree(a, b statement) error {
	return s.refuse(problem.Invalid, b.no, "%q is another rate than %q on line %d: %s", b.text, a.text, a.no,
		fmt.Sprintf("%.6g Hz and %.6g Hz", b.rate, a.rate)).
		Hint("say which: --rate %.6g or --rate %.6g", a.rate, b.rate)
}
