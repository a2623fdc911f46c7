package campaign

import (
	"fmt"
	"math"
	"testing"
	"time"

	"fallwright.example/problem"
)

var morning = time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)

func at(minutes float64) Stamp {
	return Stamp{At: morning.Add(time.Duration(minutes * float64(time.Minute))), By: "tower crew"}
}

// begun is a study with a frozen plan and two falls of M-01 behind it.
func begun() Study {
	return Study{
		Plan: small(), File: SourceFile{SHA256: "ab12"}, Frozen: &Freeze{Stamp: at(-60), PlanSHA256: "ab12"},
		Drops: []Drop{
			{ID: "d1", Stamp: at(0), Kind: Trial, Setting: "low"},
			{ID: "d2", Stamp: at(10), Kind: Fall, Specimen: "M-01", Fall: 1, Setting: "standard"},
			{ID: "d3", Stamp: at(13), Kind: Fall, Specimen: "M-01", Fall: 2, Setting: "standard"},
		},
		Weighings: []Weighing{
			{ID: "w1", Stamp: at(-90), Specimen: "M-01", State: "dry", Mass: 0.212},
			{ID: "w2", Stamp: at(-89), Specimen: "M-01", State: "dry", Mass: 0.211, Replaces: "w1"},
		},
	}
}

// next is a drop that begun takes.
func next() Drop {
	return Drop{ID: "d4", Stamp: at(16), Kind: Fall, Specimen: "M-01", Fall: 3, Setting: "standard"}
}

// refusal is what a rule is to answer; an empty want is "accepted".
type refusal struct {
	name string
	do   func(s *Study) error
	kind problem.Kind
	want string // "where: what | first hint | state"
}

func (c refusal) try(t *testing.T, s Study) {
	t.Helper()
	err := c.do(&s)
	if c.want == "" {
		if err != nil {
			t.Errorf("%s: refused: %v", c.name, err)
		}
		return
	}
	all := problem.All(err)
	if len(all) != 1 {
		t.Errorf("%s: %d problems, want 1: %v", c.name, len(all), err)
		return
	}
	if got := oneLine(all[0]) + " | " + all[0].State; got != c.want {
		t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
	}
	if all[0].Kind != c.kind {
		t.Errorf("%s: kind %d, want %d", c.name, all[0].Kind, c.kind)
	}
	plainText(t, c.name, all[0])
}

func TestDropRules(t *testing.T) {
	drop := func(alter func(s *Study, d *Drop)) func(s *Study) error {
		return func(s *Study) error {
			d := next()
			alter(s, &d)
			return s.CheckDrop(d)
		}
	}
	const state = " | the drop was not stored"
	cases := []refusal{
		{"the next fall", drop(func(*Study, *Drop) {}), 0, ""},
		{"a fall beyond the series", drop(func(s *Study, d *Drop) { s.Plan.Series.Falls, s.Plan.Questions = 2, nil }), 0, ""},
		{"first fall of another specimen", drop(func(s *Study, d *Drop) { d.Specimen, d.Fall = "M-02", 1 }), 0, ""},
		{"a fall at another setting", drop(func(s *Study, d *Drop) { d.Setting = "low" }), 0, ""},
		{"a fall at the same minute", drop(func(s *Study, d *Drop) { d.Stamp = at(13) }), 0, ""},
		{"a trial before the plan is frozen", drop(func(s *Study, d *Drop) {
			s.Frozen = nil
			*d = Drop{Stamp: at(1), Kind: Trial}
		}), 0, ""},
		{"a check on the reference rope", drop(func(s *Study, d *Drop) { *d = Drop{Stamp: at(1), Kind: Check, Specimen: "R-01"} }), 0, ""},
		{"void at creation, loaded", drop(func(s *Study, d *Drop) { d.Void = &Void{Reason: "trigger late", Loaded: true} }), 0, ""},
		{"a gate time", drop(func(s *Study, d *Drop) { s.Plan.Rig.GateFlag, d.GateTime = 0.02, 0.0041 }), 0, ""},
		{"a gate time of a rig whose flag is not known", drop(func(_ *Study, d *Drop) { d.GateTime = 41 }), 0, ""},

		{
			"a gate time in seconds where milliseconds are meant", drop(func(s *Study, d *Drop) { s.Plan.Rig.GateFlag, d.GateTime = 0.02, 4.1e-6 }), problem.Invalid,
			"M-01 fall 3: a flag of 20 mm that breaks the beam for 0.0041 ms falls at 4.88e+03 m/s, and a free fall of 1.42 m gives 5.28 m/s | give the time in milliseconds, or leave it out when none was recorded" + state,
		},
		{
			"a gate time a thousand times too long", drop(func(s *Study, d *Drop) { s.Plan.Rig.GateFlag, d.GateTime = 0.02, 4.1 }), problem.Invalid,
			"M-01 fall 3: a flag of 20 mm that breaks the beam for 4100 ms falls at 0.00488 m/s, and a free fall of 1.42 m gives 5.28 m/s | give the time in milliseconds, or leave it out when none was recorded" + state,
		},
		{
			"a gate time below zero", drop(func(_ *Study, d *Drop) { d.GateTime = -0.004 }), problem.Invalid,
			"M-01 fall 3: the flag broke the gate's beam for -4 ms | give a time above zero, or leave it out when none was recorded" + state,
		},
		{
			"recorded twice", drop(func(s *Study, d *Drop) { d.ID = "d1" }), problem.Conflict,
			"M-01 fall 3: drop d1 is recorded already | record it once" + state,
		},
		{
			"no time", drop(func(s *Study, d *Drop) { d.At = time.Time{} }), problem.Invalid,
			"M-01 fall 3: the drop has no time | say when the mass was released" + state,
		},
		{
			"no such kind", drop(func(s *Study, d *Drop) { *d = Drop{Stamp: at(1), Kind: "test"} }), problem.Invalid,
			`test: there is no kind of drop "test" | the kinds are: "trial", "check", "fall"` + state,
		},
		{
			"no kind", drop(func(s *Study, d *Drop) { *d = Drop{Stamp: at(1)} }), problem.Invalid,
			`drop: there is no kind of drop "" | the kinds are: "trial", "check", "fall"` + state,
		},
		{
			"plan not frozen", drop(func(s *Study, d *Drop) { s.Frozen = nil }), problem.Conflict,
			"M-01 fall 3: the plan is not frozen, and a fall counts only under a frozen plan | freeze it: fallwright plan STUDY.toml --book BOOK --freeze" + state,
		},
		{
			"no setting", drop(func(s *Study, d *Drop) { d.Setting = "" }), problem.Invalid,
			`M-01 fall 3: the fall has no setting | the plan has: "standard", "low"` + state,
		},
		{
			"unknown setting", drop(func(s *Study, d *Drop) { d.Setting = "high" }), problem.NotFound,
			`M-01 fall 3: there is no setting "high" | the plan has: "standard", "low"` + state,
		},
		{
			"unknown setting of a trial", drop(func(s *Study, d *Drop) { *d = Drop{Stamp: at(1), Kind: Trial, Setting: "high"} }), problem.NotFound,
			`trial: there is no setting "high" | the plan has: "standard", "low"` + state,
		},
		{
			"no specimen", drop(func(s *Study, d *Drop) { d.Specimen = "" }), problem.Invalid,
			"fall: the fall has no specimen | give the label of the specimen that was dropped" + state,
		},
		{
			"unknown specimen", drop(func(s *Study, d *Drop) { d.Specimen = "M-09" }), problem.NotFound,
			`M-09 fall 3: the plan has no specimen "M-09" | the plan has: "M-01", "M-02", "S-01"` + state,
		},
		{
			"label in small letters", drop(func(s *Study, d *Drop) { d.Specimen = "m-01" }), problem.NotFound,
			`m-01 fall 3: the plan has no specimen "m-01" | write M-01` + state,
		},
		{
			"no number", drop(func(s *Study, d *Drop) { d.Fall = 0 }), problem.Invalid,
			"fall of M-01: the fall has no number | the next fall of M-01 is 3" + state,
		},
		{
			"number taken", drop(func(s *Study, d *Drop) { d.Fall = 2 }), problem.Conflict,
			"M-01 fall 2: fall 2 of M-01 was taken at 2026-05-04 09:13:00; its next is fall 3 | record it as fall 3, or void the other first if the rope was not loaded then" + state,
		},
		{
			"number skipped", drop(func(s *Study, d *Drop) { d.Fall = 4 }), problem.Conflict,
			"M-01 fall 4: the next fall of M-01 is 3 | record fall 3 first, without a trace if there is none" + state,
		},
		{
			"number taken by a loaded void", drop(func(s *Study, d *Drop) {
				s.Drops[2].Void, d.Fall = &Void{Reason: "mass twisted", Loaded: true}, 2
			}), problem.Conflict,
			"M-01 fall 2: fall 2 of M-01 was taken at 2026-05-04 09:13:00; its next is fall 3 | record it as fall 3, or void the other first if the rope was not loaded then" + state,
		},
		{"number free again", drop(func(s *Study, d *Drop) {
			s.Drops[2].Void, d.Fall = &Void{Reason: "hook opened"}, 2
		}), 0, ""},
		{
			"trial with a number", drop(func(s *Study, d *Drop) { *d = Drop{Stamp: at(1), Kind: Trial, Fall: 1} }), problem.Invalid,
			"trial: a trial has no fall number, and this one has 1 | leave the number out, or record it as a fall" + state,
		},
		{
			"void without reason", drop(func(s *Study, d *Drop) { d.Void = &Void{Reason: " "} }), problem.Invalid,
			"M-01 fall 3: the drop is void and does not say why | give the reason" + state,
		},
		{
			"before the fall before", drop(func(s *Study, d *Drop) { d.Stamp = at(12) }), problem.Conflict,
			"M-01 fall 3: released at 2026-05-04 09:12:00, before fall 2 of M-01 at 2026-05-04 09:13:00 | correct the time, or record the falls in the order they were made" + state,
		},
	}
	for _, c := range cases {
		c.try(t, begun())
	}
	if len(cases) < 26 {
		t.Errorf("looked at %d cases, want at least 26", len(cases))
	}
}

func TestVoidRules(t *testing.T) {
	void := func(id string, v Void) func(s *Study) error {
		return func(s *Study) error { return s.CheckVoid(id, v) }
	}
	const state = " | the drop counts as before"
	cases := []refusal{
		{"last fall, not loaded", void("d3", Void{at(14), "hook opened", false}), 0, ""},
		{"earlier fall, loaded", void("d2", Void{at(14), "mass twisted", true}), 0, ""},
		{"trial", void("d1", Void{at(14), "guide jammed", false}), 0, ""},
		{"trial of a specimen that fell since, not loaded", func(s *Study) error {
			s.Drops[0].Specimen = "M-01"
			return s.CheckVoid("d1", Void{at(14), "guide jammed", false})
		}, 0, ""},
		{
			"unknown drop", void("d9", Void{at(14), "x", false}), problem.NotFound,
			"drop d9: study sea-water has no such drop | take its name from the study's list of drops | nothing was voided",
		},
		{
			"no reason", void("d3", Void{at(14), "  ", false}), problem.Invalid,
			"M-01 fall 2: no reason is given for voiding it | say why it does not count" + state,
		},
		{
			"no time", void("d3", Void{Reason: "hook opened"}), problem.Invalid,
			"M-01 fall 2: the void has no time | give the time at which it was voided" + state,
		},
		{
			"earlier fall, not loaded", void("d2", Void{at(14), "hook opened", false}), problem.Conflict,
			"M-01 fall 1: M-01 has had falls up to 2 since, which would be left without a fall 1 | if the rope was loaded all the same, void it as loaded: the number stays taken" + state,
		},
		{"void twice", func(s *Study) error {
			s.Drops[2].Void = &Void{Reason: "hook opened"}
			return s.CheckVoid("d3", Void{at(15), "again", false})
		}, problem.Conflict, "M-01 fall 2: it is void already: hook opened | add what else was wrong as a deviation | the first reason stands"},
	}
	for _, c := range cases {
		c.try(t, begun())
	}
}

func TestPlanChangeRules(t *testing.T) {
	plan := func(frozen bool, alter func(p *Plan)) func(s *Study) error {
		return func(s *Study) error {
			if !frozen {
				s.Frozen = nil
			}
			p := small()
			alter(&p)
			return s.CheckPlan(p)
		}
	}
	const state = " | the old plan stands"
	const keep = " | keep it as it was and add another under a new name"
	cases := []refusal{
		{"same plan again", plan(false, func(*Plan) {}), 0, ""},
		{"new specimen and title", plan(false, func(p *Plan) {
			p.Title = "Sea water"
			p.Specimens = append(p.Specimens, Specimen{Label: "M-03", Lot: "Marram 9.6", Condition: "Marram dry"})
		}), 0, ""},
		{"unused specimen left out", plan(false, func(p *Plan) { p.Specimens = p.Specimens[:2] }), 0, ""},
		{"first plan of a study", func(*Study) error { return new(Study).CheckPlan(small()) }, 0, ""},
		{
			"frozen", plan(true, func(*Plan) {}), problem.Conflict,
			"study sea-water: the plan was frozen on 2026-05-04 08:00:00 and can no longer be altered | record what is done otherwise as a deviation | the frozen plan stands",
		},
		{
			"another name", plan(false, func(p *Plan) { p.Name = "fresh-water" }), problem.Conflict,
			`study sea-water: the new plan is named "fresh-water" | keep the name, or add it as a study of its own` + state,
		},
		{"dropped specimen left out", plan(false, func(p *Plan) {
			p.Specimens[0].Label = "M-11"
		}), problem.Conflict, "specimen M-01: the new plan lacks it, and a drop is recorded for it" + keep + state},
		{
			"dropped specimen cut elsewhere", plan(false, func(p *Plan) { p.Specimens[0].From = 2 }), problem.Conflict,
			"specimen M-01: the new plan cuts it from another piece of rope, and a drop is recorded for it" + keep + state,
		},
		{"weighed specimen left out", func(s *Study) error {
			s.Frozen, s.Drops = nil, nil
			p := small()
			p.Specimens[0].Label = "M-11"
			return s.CheckPlan(p)
		}, problem.Conflict, "specimen M-01: the new plan lacks it, and a weighing is recorded for it" + keep + state},
		{
			"used setting left out", plan(false, func(p *Plan) { p.Settings = p.Settings[:1] }), problem.Conflict,
			"setting low: the new plan lacks it, and drops are recorded at it" + keep + state,
		},
		{
			"used setting with another mass", plan(false, func(p *Plan) { p.Settings[1].Mass = 75 }), problem.Conflict,
			"setting low: the new plan gives it other values, and drops are recorded at it" + keep + state,
		},
		{
			"a plan that breaks a rule", plan(false, func(p *Plan) { p.Series.Falls, p.Questions = 0, nil }), problem.Invalid,
			"series: a series of 0 falls answers nothing | give each specimen at least 1 fall | ",
		},
	}
	for _, c := range cases {
		c.try(t, begun())
	}
}

func TestFreezeRules(t *testing.T) {
	freeze := func(f Freeze, alter func(s *Study)) func(s *Study) error {
		return func(s *Study) error {
			s.Frozen = nil
			alter(s)
			return s.CheckFreeze(f)
		}
	}
	good := Freeze{at(20), "ab12"}
	cases := []refusal{
		{"a plan that keeps the rules", freeze(good, func(*Study) {}), 0, ""},
		{
			"frozen already", freeze(good, func(s *Study) { s.Frozen = &Freeze{Stamp: at(5)} }), problem.Conflict,
			"study sea-water: the plan was frozen on 2026-05-04 09:05:00 already | record what is done otherwise as a deviation | the freeze of then stands",
		},
		{
			"no time", freeze(Freeze{PlanSHA256: "ab12"}, func(*Study) {}), problem.Invalid,
			"study sea-water: the freeze has no time | give the time at which it is frozen | the plan is not frozen",
		},
		{
			"another file", freeze(Freeze{at(20), "cd34"}, func(*Study) {}), problem.Conflict,
			"study sea-water: the plan in the book comes from another file than the one to be frozen | put the file in the book first: fallwright plan STUDY.toml --book BOOK | the plan is not frozen",
		},
		{
			"a plan that breaks a rule", freeze(good, func(s *Study) { s.Plan.Settings[1].Mass = 0 }), problem.Invalid,
			`setting "low": the mass is 0 kg | give a value above zero | `,
		},
	}
	for _, c := range cases {
		c.try(t, begun())
	}
}

func TestWeighingRules(t *testing.T) {
	weigh := func(alter func(w *Weighing)) func(s *Study) error {
		return func(s *Study) error {
			w := Weighing{ID: "w3", Stamp: at(30), Specimen: "M-02", State: "dry", Mass: 0.213}
			alter(&w)
			return s.CheckWeighing(w)
		}
	}
	const state = " | the weighing was not stored"
	cases := []refusal{
		{"a new weighing", weigh(func(*Weighing) {}), 0, ""},
		{"a correction of the newest", weigh(func(w *Weighing) { w.Specimen, w.Replaces = "M-01", "w2" }), 0, ""},
		{
			"unknown specimen", weigh(func(w *Weighing) { w.Specimen = "s-01" }), problem.NotFound,
			`weighing: the plan has no specimen "s-01" | write S-01` + state,
		},
		{
			"no time", weigh(func(w *Weighing) { w.At = time.Time{} }), problem.Invalid,
			"weighing of M-02: it has no time | say when the specimen was on the scale" + state,
		},
		{
			"no state", weigh(func(w *Weighing) { w.State = "" }), problem.Invalid,
			`weighing of M-02: it does not say the state of the rope | name the step of the protocol, such as "dry" or "soaked and drained 2 min"` + state,
		},
		{
			"no mass", weigh(func(w *Weighing) { w.Mass = 0 }), problem.Invalid,
			"weighing of M-02: the mass is 0 kg | give a mass above zero" + state,
		},
		{
			"endless mass", weigh(func(w *Weighing) { w.Mass = math.Inf(1) }), problem.Invalid,
			"weighing of M-02: the mass is +Inf kg | give a mass above zero" + state,
		},
		{
			"mass not a number", weigh(func(w *Weighing) { w.Mass = math.NaN() }), problem.Invalid,
			"weighing of M-02: the mass is NaN kg | give a mass above zero" + state,
		},
		{
			"replaces nothing", weigh(func(w *Weighing) { w.Replaces = "w9" }), problem.NotFound,
			"weighing of M-02: there is no weighing w9 that it could replace | leave that out for a new weighing" + state,
		},
		{
			"replaces another specimen's", weigh(func(w *Weighing) { w.Replaces = "w2" }), problem.Conflict,
			"weighing of M-02: weighing w2, which it would replace, is of M-01 | replace a weighing of the same specimen" + state,
		},
		{
			"replaces one replaced already", weigh(func(w *Weighing) { w.Specimen, w.Replaces = "M-01", "w1" }), problem.Conflict,
			"weighing of M-01: weighing w1 was replaced by w2 already | replace w2" + state,
		},
	}
	for _, c := range cases {
		c.try(t, begun())
	}
}

func TestDeviationRules(t *testing.T) {
	check := func(d Deviation) func(s *Study) error { return func(s *Study) error { return s.CheckDeviation(d) } }
	for _, c := range []refusal{
		{"words and time", check(Deviation{Stamp: at(0), Text: "edge taped after fall 2"}), 0, ""},
		{
			"no words", check(Deviation{Stamp: at(0), Text: "\n"}), problem.Invalid,
			"deviation: it says nothing | say what was done otherwise, and why | the deviation was not stored",
		},
		{
			"no time", check(Deviation{Text: "edge taped"}), problem.Invalid,
			"deviation: it has no time | say when it happened | the deviation was not stored",
		},
	} {
		c.try(t, begun())
	}
}

// Several faults of one drop come together.
func TestDropFaultsTogether(t *testing.T) {
	s := begun()
	err := s.CheckDrop(Drop{Kind: Fall, Specimen: "M-01", Fall: 5, Setting: "high", Void: &Void{}})
	if got := len(problem.All(err)); got != 4 {
		t.Errorf("%d problems, want 4 (time, reason, setting, number): %v", got, err)
	}
}

func ExampleStudy_CheckVoid() {
	s := begun()
	for _, p := range problem.All(s.CheckVoid("d2", Void{Stamp: at(20), Reason: "hook opened"})) {
		fmt.Println(p)
		for _, h := range p.Hints {
			fmt.Println("-", h)
		}
	}
	// Output:
	// M-01 fall 1: M-01 has had falls up to 2 since, which would be left without a fall 1
	// - if the rope was loaded all the same, void it as loaded: the number stays taken
	// - if it was not, the later falls have the wrong numbers: void them first, from fall 2 back
}
