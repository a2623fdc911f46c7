package web

import (
	"fmt"
	"strings"

	"fallwright.example/figure"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/study"
	"fallwright.example/trace"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/say"
)

// progress is what the line of the job is drawn from, counted once. A fall that
// was lost for good is taken without counting, so taken tells when the tower is
// done.
type progress struct {
	drops, taken, counting, planned, void, read int
}

func (c progress) done() bool { return c.planned > 0 && c.taken >= c.planned }

func count(o *study.Overview) progress {
	var p progress
	for _, c := range o.Conditions {
		p.counting += c.Counting
		p.planned += c.Planned
	}
	for _, sp := range o.Specimens {
		p.taken += sp.Taken
	}
	p.drops = len(o.Drops)
	for _, row := range o.Drops {
		switch {
		case row.Drop.Void != nil:
			p.void++
		case row.Drop.Kind == campaign.Fall && row.Reading != nil:
			p.read++
		}
	}
	return p
}

// steps is the line of the job: what there is, filled as far as it has got.
func (s *server) steps(o *study.Overview, f *study.Findings) []frame.Step {
	p, c := &o.Study.Plan, count(o)
	at := studyPath(p.Name)
	steps := []frame.Step{
		{Key: "question", Label: "Question", Href: at + "/question", State: questionState(p), Fill: fill(len(p.Questions), 1)},
		{Key: "plan", Label: "Plan", Href: at + "/plan", State: planState(o.Study, c.planned), Fill: planFill(o.Study)},
		{Key: "cut", Label: "Cut list", Href: at + "/cut-list", State: cutState(p), Fill: fill(len(p.Specimens), 1)},
		{Key: "rig", Label: "Rig", Href: at + "/rig", State: rigState(p), Fill: rigFill(p, c)},
		{Key: "tower", Label: "Tower", Href: at + "#tower", State: towerState(c), Fill: fill(c.taken, c.planned)},
		{Key: "traces", Label: "Traces", Href: at + "/traces", State: tracesState(o), Fill: tracesFill(c)},
		{Key: "water", Label: "Water", Href: at + "/water", State: waterState(o.Study), Fill: fill(len(o.Study.Weighings), 1)},
		{Key: "findings", Label: "Findings", Href: at + "/findings", State: findingsState(f), Fill: findingsFill(f, c)},
	}
	steps = append(steps, frame.Step{Key: "wall", Label: "On the wall", Href: at + "/wall", State: wallState(c), Fill: tracesFill(c)})
	if s.options.Report != nil {
		step := frame.Step{Key: "publish", Label: "Publish", Href: at + "/report", State: "report so far", Fill: frame.Part}
		if c.done() {
			step.State, step.Fill = "report", frame.Done
		}
		if f == nil {
			step.Fill = frame.Open
		}
		steps = append(steps, step)
	}
	return steps
}

// fill compares what there is with what is wanted.
func fill(have, want int) frame.Fill {
	switch {
	case have == 0:
		return frame.Open
	case have < want:
		return frame.Part
	}
	return frame.Done
}

func questionState(p *campaign.Plan) string {
	words := figure.Counted(len(p.Questions), "question")
	if margin, same := commonMargin(p.Questions); same {
		words += ", margin " + margin
	}
	return words
}

// commonMargin is the margin that all questions share, in words.
func commonMargin(questions []campaign.Question) (string, bool) {
	if len(questions) == 0 {
		return "", false
	}
	for _, q := range questions[1:] {
		if q.Margin != questions[0].Margin || q.Value != questions[0].Value {
			return "", false
		}
	}
	return say.Margin(questions[0].Value, questions[0].Margin), true
}

func planState(st *campaign.Study, planned int) string {
	falls := figure.Counted(planned, "fall")
	if st.Frozen == nil {
		return "not frozen, " + falls
	}
	return "frozen " + st.Frozen.At.Format("2 Jan") + ", " + falls
}

func planFill(st *campaign.Study) frame.Fill {
	if st.Frozen == nil {
		return frame.Part
	}
	return frame.Done
}

func cutState(p *campaign.Plan) string {
	return fmt.Sprintf("%s, %s", figure.Counted(len(p.Specimens), "piece"), figure.Counted(len(p.Ropes), "rope"))
}

func rigState(p *campaign.Plan) string {
	if set, ok := p.Setting(p.Series.Setting); ok {
		return fmt.Sprintf("%s, drop %s", say.Mass(set.Mass), say.Known(set.Drop, "m"))
	}
	return figure.Counted(len(p.Settings), "setting")
}

func rigFill(p *campaign.Plan, c progress) frame.Fill {
	switch {
	case len(p.Settings) == 0:
		return frame.Open
	case c.drops == 0:
		return frame.Part
	}
	return frame.Done
}

func towerState(c progress) string {
	if c.drops == 0 {
		return "no drops yet"
	}
	words := fmt.Sprintf("%d of %d falls", c.counting, c.planned)
	if c.counting >= c.planned {
		words = figure.Counted(c.counting, "fall")
	}
	if c.void > 0 {
		words += fmt.Sprintf(", %d void", c.void)
	}
	return words
}

func tracesFill(c progress) frame.Fill {
	if c.read > 0 && (c.read < c.counting || !c.done()) {
		return frame.Part
	}
	return fill(c.read, 1)
}

func tracesState(o *study.Overview) string {
	doubtful, incomplete, all := 0, 0, 0
	for _, row := range o.Drops {
		if row.Reading == nil {
			continue
		}
		all++
		switch row.Reading.Grade() {
		case trace.Doubtful:
			doubtful++
		case trace.Missing:
			incomplete++
		}
	}
	if all == 0 {
		return "none yet"
	}
	var words []string
	if doubtful > 0 {
		words = append(words, fmt.Sprintf("%d doubtful", doubtful))
	}
	if incomplete > 0 {
		words = append(words, fmt.Sprintf("%d incomplete", incomplete))
	}
	if len(words) == 0 {
		return fmt.Sprintf("%d read, all good", all)
	}
	return strings.Join(words, ", ")
}

func wallState(c progress) string {
	if c.read == 0 {
		return "no fall read yet"
	}
	return "from " + figure.Counted(c.read, "fall")
}

func waterState(st *campaign.Study) string {
	if len(st.Weighings) == 0 {
		return "not weighed"
	}
	return figure.Counted(len(st.Weighings), "weighing")
}

func findingsState(f *study.Findings) string {
	if f == nil {
		return "too few falls yet"
	}
	settled := settledCount(f)
	switch open := len(f.Answers) - settled; {
	case len(f.Answers) == 0:
		return "no questions"
	case open == 0:
		return fmt.Sprintf("%d settled", settled)
	case settled == 0:
		return fmt.Sprintf("%d not settled", open)
	default:
		return fmt.Sprintf("%d settled, %d not", settled, open)
	}
}

func settledCount(f *study.Findings) int {
	n := 0
	for _, a := range f.Answers {
		if a.Verdict == compare.Higher || a.Verdict == compare.Lower || a.Verdict == compare.NoDifference {
			n++
		}
	}
	return n
}

// findingsFill is Done only when every planned fall is taken: a question that the
// whole plan leaves unsettled has its answer too.
func findingsFill(f *study.Findings, c progress) frame.Fill {
	switch {
	case f == nil || len(f.Answers) == 0:
		return frame.Open
	case !c.done():
		return frame.Part
	}
	return frame.Done
}
