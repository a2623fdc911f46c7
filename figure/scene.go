// Package figure draws: values go in, a Scene of marks comes out. A Scene holds
// geometry and words only, in the px of its own box; SVG writes it out, and
// other ends can draw the same marks.
//
// Conditions are told apart by their index in the plan: colour, mark and dash
// follow from it, so that colour is never the only sign.
package figure

// Canvas is the sheet that a chart is drawn on. A legend and a remark add their
// own height to it, so that the drawing keeps its own.
type Canvas struct {
	Width, Height float64 // px
	Remark        string  // "invented numbers": drawn on a line of its own below
}

// Scene is a finished picture.
type Scene struct {
	Width, Height float64
	Title         string // names the picture
	Desc          string // says in words what it shows
	Frame         Box    // where the data lie; axes and labels are outside
	Marks         []Mark // drawn in this order
}

// Box is a rectangle; y counts downward, so Top < Bottom.
type Box struct{ Left, Top, Right, Bottom float64 }

// Width of the box.
func (b Box) Width() float64 { return b.Right - b.Left }

// Height of the box.
func (b Box) Height() float64 { return b.Bottom - b.Top }

func newScene(c Canvas, title string) *Scene {
	s := &Scene{Width: c.Width, Title: title}
	if c.Remark != "" {
		s.Title += " (" + c.Remark + ")"
	}
	return s
}

// finish draws the remark under a picture whose drawing ends at bottom.
func (s *Scene) finish(bottom float64, c Canvas) *Scene {
	s.Height = bottom
	if c.Remark != "" {
		s.Height += lineHeight
		s.add(Text{X: s.Width - 2, Y: s.Height - 5, Anchor: End, Body: c.Remark, Ink: Warn})
	}
	return s
}

func (s *Scene) add(m ...Mark) { s.Marks = append(s.Marks, m...) }
