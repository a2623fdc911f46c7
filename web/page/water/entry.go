package water

import (
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
)

// Entry is the bath side: what is written down with wet hands.
type Entry struct {
	Frame  frame.View
	Path   string // of the study
	Groups []Group
	Times  []string // minutes that are one tap
	Stored string   // what was stored last, a sentence
	Last   string   // the newest weighing, a sentence
	Open   string   // which of the forms was sent: "weigh", "gauge" or "pull"

	Weighing study.WeighingTyped
	Gauging  study.GaugingTyped
	Pull     study.PullTyped
	By       string
	Devices  []string // named before
	Refused  []*problem.Problem
}

// Group is the specimens of one condition.
type Group struct {
	Condition mark.Condition
	Limit     string // what a piece weighs by its rope's mass per length
	Choices   []Choice
}

// Choice is a specimen to tap.
type Choice struct {
	Label string
	Last  string // its last weighing: "281.9 g, soaked 5 min"
}

// field is a field in the form that was sent, with what is wrong with it.
func (e Entry) field(form, name, label, hint, value string) entry.Field {
	f := entry.Field{Name: name, ID: form + "-" + name, Label: label, Hint: hint, Value: value, About: name}
	if e.Open == form {
		entry.Blame(problem.List(e.Refused), &f)
	}
	return f
}

// rest are the problems that no field of the form carries.
func (e Entry) rest(form string, fields ...string) (out []*problem.Problem) {
	if e.Open != form {
		return nil
	}
	for _, p := range e.Refused {
		own := false
		for _, f := range fields {
			own = own || p.Where == f
		}
		if !own {
			out = append(out, p)
		}
	}
	return out
}

func (e Entry) refused(form string) bool { return e.Open == form && len(e.Refused) > 0 }

var weighKinds = []struct{ Value, Label, Hint string }{
	{"soaked", "soaked", "drained and blotted as the protocol says"},
	{"dry", "dry", "before any soak"},
	{"drained", "drained", "another time than the protocol's"},
	{"dried", "dried", "hung to dry after a soak"},
}

func (e Entry) otherTime() string {
	for _, t := range e.Times {
		if t == e.Weighing.Soak {
			return ""
		}
	}
	return e.Weighing.Soak
}
