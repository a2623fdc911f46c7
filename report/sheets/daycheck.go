package sheets

// checks are confirmed by name before the first drop of a day.
var checks = []struct{ what, how string }{
	{"Remote release", "releases from outside the zone, and cannot release by itself"},
	{"Exclusion zone", "marked, and empty at every drop; one person calls it"},
	{"Mass blocked", "held by a block, not by the rope or the release, before anybody enters"},
	{"Mass and cell retained", "a second, slack tie holds each if the rope, a knot or a shackle goes"},
	{"Catch bed", "in place, and takes the mass from the full height"},
	{"Wet floor and electricity", "cables, plugs and instruments are off the floor and protected by a residual-current device; the floor is not slippery"},
	{"Eyes and ears", "protected, of everybody in reach of a part or of the noise"},
	{"Instruments", "the cell reads zero unloaded and the hung mass within its uncertainty"},
}

// dayCheck prints the check list of a day, or of any day.
func (s *paper) dayCheck(day string) {
	s.page()
	title := "Before the first drop of a day"
	if day != "" {
		title = "Before the first drop, " + day
	}
	s.heading(title)
	s.say("Each is looked at on the rig itself, not remembered. A drop is not released while one of them is open.")
	const left = 8.0
	for _, c := range checks {
		s.font("", normal)
		lines := wrap(s.width, c.how, inner-left)
		s.room(float64(1+len(lines))*normal*point*leading + 3)
		s.y += normal * point * leading
		s.box(margin, s.y-normal*point*0.35)
		s.font("B", normal)
		s.put(margin+left, s.y, c.what)
		s.font("", normal)
		for _, line := range lines {
			s.y += normal * point * leading
			s.put(margin+left, s.y, line)
		}
		s.y += 3
	}
	s.room(30)
	s.y += 12
	for i, what := range []string{"confirmed by (name)", "date and time", "signed"} {
		const wide = inner / 3
		x := margin + float64(i)*wide
		s.pdf.Line(x, s.y, x+wide-6, s.y)
		s.put(x, s.y+4, what)
	}
	s.y += 12
	s.say("Again after every change to the rig, and after a break in which nobody watched it.")
}
