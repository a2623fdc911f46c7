package fall

// summit keeps the highest point of a curve given point by point. Between
// points it takes the parabola through three of them, whose vertex is good to
// the third power of their distance.
type summit struct {
	at, height float64
	over       bool       // a point has been lower than the one before it
	smooth     int        // points since the beginning or the last corner
	t, f       [3]float64 // the last three points, newest last
}

// add gives the next point, later than those before it.
func (s *summit) add(t, f float64) {
	first := s.smooth == 0
	s.over = s.over || (!first && f < s.f[2])
	s.t = [3]float64{s.t[1], s.t[2], t}
	s.f = [3]float64{s.f[1], s.f[2], f}
	s.smooth++
	if first || f > s.height {
		s.at, s.height = t, f
	}
	if s.smooth >= 3 && s.f[1] >= s.f[0] && s.f[1] >= s.f[2] {
		if at, height, ok := s.vertex(); ok && height > s.height {
			s.at, s.height = at, height
		}
	}
}

// corner says that the curve bends at the last point, so that no parabola may
// lie across it.
func (s *summit) corner() { s.smooth = min(s.smooth, 1) }

// vertex is the top of the parabola through the last three points; none when
// they lie on a line, or when two of them are too close together to carry one.
func (s *summit) vertex() (at, height float64, ok bool) {
	left, right := s.t[1]-s.t[0], s.t[2]-s.t[1]
	if min(left, right) < 1e-3*max(left, right) {
		return 0, 0, false
	}
	up, down := (s.f[1]-s.f[0])/left, (s.f[2]-s.f[1])/right
	bend := (down - up) / (left + right)
	if !(bend < 0) {
		return 0, 0, false
	}
	slope := (up*right + down*left) / (left + right) // at the middle point
	shift := -slope / (2 * bend)
	return s.t[1] + shift, s.f[1] + shift*slope/2, true
}
