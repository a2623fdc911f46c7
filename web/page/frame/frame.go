// Package frame is what every page shares: the head, the line of the job, the
// foot with what the numbers do not show.
package frame

// View is what a page tells its frame.
type View struct {
	Title   string // of the page, for the browser's tab
	Study   *Study // nil on pages that belong to no study
	Here    string // Key of the step the page belongs to; empty for none
	Plot    bool   // the page has a plot that can be walked through
	Assets  Assets
	Program string // name and version
}

// Assets are the addresses of what a page loads.
type Assets struct {
	Style, Figure, Theme, App, Plot, Icon, Licences string
	Fonts                                           []string // to be fetched at once
}

// Study is what the frame shows of one.
type Study struct {
	Title    string
	Href     string
	Invented bool
	Zone     string // of the times of day: "UTC"
	Steps    []Step
}

// Step is one station on the line of the job.
type Step struct {
	Key   string // "question"
	Label string // "Question"
	State string // a few words: "3 questions, margin 5 %"
	Href  string
	Fill  Fill
}

// Fill is how far a step has got.
type Fill string

const (
	Open Fill = "open" // nothing yet
	Part Fill = "part" // begun
	Done Fill = "done"
)

// spoken is the Fill for somebody who does not see the line.
func (f Fill) spoken() string {
	switch f {
	case Done:
		return "done: "
	case Part:
		return "begun: "
	}
	return "open: "
}

func (v View) tab() string {
	switch {
	case v.Study == nil:
		return v.Title + " · fallwright"
	case v.Title == v.Study.Title:
		return v.Title + " · fallwright"
	}
	return v.Title + " · " + v.Study.Title + " · fallwright"
}

func (v View) current(s Step) bool { return s.Key == v.Here }

// Picture is one figure drawn twice, for a wide and for a narrow window: words
// in a figure do not shrink with it.
type Picture struct{ Wide, Narrow string } // SVG
