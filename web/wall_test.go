package web

import (
	"errors"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fallwright.example/field"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
)

const wallPath = "/study/sea-water/wall"

// fallText stands for the reader of falls: text that begins with "bad" is refused.
func fallText(text []byte) (*study.WallFall, []study.WallRope, error) {
	if strings.HasPrefix(string(text), "bad") {
		return nil, nil, problem.List{problem.New(problem.Invalid, "line 2", "climber.weight is no key of a fall")}
	}
	ropes := []study.WallRope{
		springRope("pasted dry", -1, 20000, 0, field.Fitted{}), springRope("pasted wet", -1, 24000, 0, field.Fitted{}),
	}
	if strings.HasPrefix(string(text), "states") {
		return nil, ropes, nil
	}
	fall := study.UsualFall()
	fall.Mass, fall.NoWall = "68 kg", true
	return &fall, ropes, nil
}

func springRope(name string, condition int, modulus, doubt float64, fitted field.Fitted) study.WallRope {
	w, err := study.RopeByLaw("linear", []float64{modulus}, [][]float64{{doubt * doubt}}, fitted)
	if err != nil {
		panic(err)
	}
	w.Name, w.From, w.Condition = name, "told by the test", condition
	return w
}

func wallApp(t testing.TB, d Desk) askable {
	t.Helper()
	return askable{t, New(d, Options{Program: "fallwright test", Fall: fallText})}
}

// The page shows something at once, marked invented, with the numbers of the use
// case, its cautions, and a picture and a sweep in words.
func TestWallPage(t *testing.T) {
	text := wallApp(t, fake(t)).text(wallPath)
	want, err := study.Wall(study.UsualFall(), study.InventedRopes())
	if err != nil {
		t.Fatal(err)
	}
	values := 0
	for _, c := range want.Cases {
		for _, s := range c.Bands.Sentences(c.Catch) {
			said(t, text, s)
		}
		for _, r := range c.Bands.Rows(c.Catch) {
			v, low, high := r.Shown()
			said(t, text, fmt.Sprintf("%s <small>%s</small>", figure.Fixed(v, r.Decimals), figure.Range(low, high, r.Decimals)))
			said(t, text, r.Name+", "+r.Unit)
			values++
		}
	}
	for _, s := range want.Against {
		said(t, text, strings.ReplaceAll(s, ": -", ": −"))
	}
	for _, s := range []string{
		field.Caution, "Invented rope.", "No law has been fitted to the falls of this study yet.", "<title>The fall from the side (invented)</title>",
		"<title>Speed into the wall by rope out (invented)</title>", "95\u202f% intervals from the doubt about the law alone, by 7 computed falls", "equilibrium 9000 ± 300", "Played at half its speed",
	} {
		said(t, text, s)
	}
	if values < 20 || !strings.Contains(text, "<fall-motion") || !strings.Contains(text, `<p class="play" hidden>`) {
		t.Errorf("%d values; or no picture that can be played, or its buttons are there without script", values)
	}
}

// An address carries fall and rope; pasted text is under it.
func TestWallAddress(t *testing.T) {
	h := wallApp(t, fake(t))
	whole := "?mass=80+kg&above=5+m&out=&push-off=&reach=1+m&belayer=&fixed=yes&stands-off=&slip=&no-wall=yes&slack=0+m&rope-out=&overhang=&ground=" +
		"&r-below=&r-turn=&r-friction=&r-below=5+m&r-turn=180+deg&r-friction=0&state=typed&beside=none&law=linear&parameters=modulus+%3D+24080.866"
	text := h.text(wallPath + whole)
	said(t, text, "6.98") // the closed form, 6,981.3 N
	for id, value := range map[string]string{"mass": "80 kg", "belayer": "", "r-below-1": "5 m", "r-below-2": "", "parameters": "modulus = 24080.866"} {
		if got := typedIn(t, text, id); got != value {
			t.Errorf("%s is %q, want %q", id, got, value)
		}
	}
	if strings.Contains(text, "speed into the wall, straight") || strings.Contains(text, "Invented rope") || strings.Contains(text, "Beside each other") || !strings.Contains(text, `name="fixed" value="yes" checked`) {
		t.Error("a wall, an invented rope, a second state or a moving belayer that nobody asked for")
	}
	pasted := h.text(wallPath + "?file=a+fall")
	if got := typedIn(t, pasted, "mass"); got != "68 kg" || !strings.Contains(pasted, `<option value="pasted wet" selected>`) || strings.Contains(pasted, "Invented rope") {
		t.Errorf("the pasted fall has %q for the mass", got)
	}
	over := h.text(wallPath + "?file=a+fall&mass=90+kg&state=pasted+wet&beside=dry%2C+invented")
	if got := typedIn(t, over, "mass"); got != "90 kg" || !strings.Contains(over, "Invented rope") || strings.Contains(over, `name="no-wall" value="yes" checked`) {
		t.Errorf("the field does not win over the pasted fall: %q", got)
	}
	states := h.text(wallPath + "?file=states")
	if got := typedIn(t, states, "mass"); got != "75 kg" || !strings.Contains(states, `<option value="pasted dry" selected>`) {
		t.Errorf("states alone: mass %q", got)
	}
}

// Laws fitted to the study's falls come first, in their condition's colour, and
// nothing is called invented.
func TestWallFitted(t *testing.T) {
	d := *fake(t)
	plan := d.study.Plan
	plan.Invented = false
	st := *d.study
	st.Plan = plan
	d.study = &st
	d.ropes = []study.WallRope{
		springRope("Marram soaked", 1, 20000, 500, field.Fitted{Strain: 0.05, Force: 2000}), springRope("Samphire dry", 3, 24000, 0, field.Fitted{}),
	}
	text := wallApp(t, &d).text(wallPath)
	for _, s := range []string{`<option value="Marram soaked" selected>`, "and the law was fitted on drops up to 5 %", "Fitted on drops up to 5\u202f% of strain, 2\u202fkN", "it is not said on what drops the law was fitted", field.Caution} {
		said(t, text, s)
	}
	if strings.Contains(text, "Invented rope") || strings.Contains(text, "No law has been fitted") {
		t.Error("a fitted law is called invented")
	}
	state := text[strings.Index(text, `class="state"`):strings.Index(text, "Beside each other")]
	if !strings.Contains(state, "c1") || !strings.Contains(state, "c3") || strings.Contains(state, "c0") {
		t.Error("the states do not have their conditions' colours")
	}
}

func TestWallRefusals(t *testing.T) {
	h := wallApp(t, fake(t))
	looked := 0
	for _, c := range []struct{ query, id, typed, says string }{
		{"?mass=75", "mass", "75", "has no unit"},
		{"?mass=", "mass", "", "it is missing"},
		{"?mass=75+kg&rope-out=14+m", "rope-out", "14 m", "both rope out and slack are given"},
		{"?rope-out=3+m&slack=", "rope-out", "3 m", "the way from the climber"},
		{"?stands-off=9+m", "stands-off", "9 m", "would not reach"},
		{"?r-below=2+m&r-below=-2+m&r-turn=180+deg&r-turn=1&r-friction=0.2&r-friction=0.2", "r-turn-2", "1", "has no unit"},
		{"?r-below=2+m&r-below=-2+m&r-turn=180+deg&r-turn=1+deg&r-friction=0.2&r-friction=0.2", "r-below-2", "-2 m", "must be above 0 m"},
		{"?overhang=80+deg", "overhang", "80 deg", "must lie from"},
		{"?state=typed&law=zener&parameters=equilibrium+%3D+9000", "parameters", "equilibrium = 9000", "the law zener needs branch"},
		{"?parameters=%3Cscript%3E&state=typed", "parameters", "<script>", "is not a name and a number"},
	} {
		text := h.text(wallPath + c.query)
		if _, faults := elements(text); len(faults) > 0 {
			t.Errorf("%s: %q", c.query, faults)
		}
		if got := typedIn(t, text, c.id); got != c.typed {
			t.Errorf("%s: the field has %q", c.query, got)
		}
		if said := faultOf(text, c.id); !strings.Contains(said, c.says) {
			t.Errorf("%s: said %q, want %q", c.query, said, c.says)
		}
		said(t, text, "This fall cannot be computed.")
		said(t, text, field.Caution)
		looked++
	}
	for query, want := range map[string][2]string{
		"?state=nylon":                        {"state", `there is no state "nylon"`},
		"?beside=nylon":                       {"beside", `there is no state "nylon"`},
		"?file=bad":                           {"file", "line 2: climber.weight is no key of a fall"},
		"?file=" + strings.Repeat("x", 17000): {"file", "at most 16384 are taken"},
		"?state=typed&law=nylon":              {"law", `there is no law "nylon"`},
	} {
		if got := faultOf(h.text(wallPath+query), want[0]); !strings.Contains(got, want[1]) {
			t.Errorf("%.40s: said %q, want %q", query, got, want[1])
		}
		looked++
	}
	if looked != 15 {
		t.Errorf("looked at %d", looked)
	}
	// Text that cannot be read hides nothing that is wrong with a field.
	both := h.text(wallPath + "?file=bad&mass=75")
	if faultOf(both, "file") == "" || !strings.Contains(faultOf(both, "mass"), "has no unit") {
		t.Error("bad text hides a field that is refused too")
	}
	// Beyond anybody's mending in a field: above the form.
	said(t, h.text(wallPath+"?r-below=&r-turn=&r-friction="), "a fall straight on to the belay is not modelled here")
	// A reader of text that fails otherwise is a fault of the program.
	broken := New(fake(t), Options{Fall: func([]byte) (*study.WallFall, []study.WallRope, error) { return nil, nil, errors.New("secret") }})
	if w := ask(broken, wallPath+"?file=x"); w.Code != 500 || strings.Contains(w.Body.String(), "secret") {
		t.Errorf("a fault of the reader: status %d", w.Code)
	}
	without := New(fake(t), Options{})
	if got := faultOf(ask(without, wallPath+"?file=x").Body.String(), "file"); !strings.Contains(got, "reads no falls") {
		t.Errorf("without a reader: %q", got)
	}
}

// The ground is hit: sentences and table say so and nothing is made up.
func TestWallGround(t *testing.T) {
	q := url.Values{"ground": {"2.5 m"}}
	text := wallApp(t, fake(t)).text(wallPath + "?" + q.Encode())
	said(t, text, "The climber hits the ground or ledge at 8.3 m/s before the rope holds at all.")
	if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
		t.Error("a number that is none is shown")
	}
}

// askable is the app with its answers as text.
type askable struct {
	t testing.TB
	h http.Handler
}

func (a askable) text(path string) string {
	a.t.Helper()
	w := ask(a.h, path)
	if w.Code != http.StatusOK {
		a.t.Fatalf("%s: status %d", path, w.Code)
	}
	return w.Body.String()
}

// said fails when a page does not say something; spaces are one.
func said(t testing.TB, text, words string) {
	t.Helper()
	flat := func(s string) string { return strings.Join(strings.Fields(html.UnescapeString(s)), " ") }
	if !strings.Contains(flat(text), flat(words)) {
		t.Errorf("the page does not say %q", words)
	}
}

// BenchmarkWallPage is a whole page: both states with intervals, pictures, sweep.
func BenchmarkWallPage(b *testing.B) {
	h := app(b)
	for b.Loop() {
		if w := ask(h, wallPath); w.Code != 200 {
			b.Fatal(w.Code)
		}
	}
}
