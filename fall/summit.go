package fall

// summit keeps the highest of the points given to it: the ends of a contact, of
// its steps, and the tops inside them.
type summit struct {
	at, height float64
	last       float64
	begun      bool
	over       bool // a point has been lower than the one before it
}

func (s *summit) add(t, f float64) {
	s.over = s.over || (s.begun && f < s.last)
	if !s.begun || f > s.height {
		s.at, s.height = t, f
	}
	s.begun, s.last = true, f
}
