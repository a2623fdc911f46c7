package campaign

// places holds that the order of drops, where specimens have one, is an order.
func (c *checker) places() {
	taken := map[int]string{}
	for i, s := range c.plan.Specimens {
		at := func(field string) Place { return Place{Part: SpecimenPart, Index: i, Field: field} }
		first, twice := taken[s.Place]
		switch {
		case s.Place < 0:
			c.refuse(at("place"), "its place in the order is %d", s.Place).Hint("count places from 1, or leave them out")
		case s.Place > 0 && s.Spare:
			c.refuse(at("place"), "it is a spare, and has place %d in the order of drops", s.Place).Hint("take one of the two out")
		case s.Place > 0 && twice:
			c.refuse(at("place"), "place %d in the order of drops is that of %s", s.Place, first).Hint("give one of the two another place")
		case s.Place > 0:
			taken[s.Place] = s.Label
		}
		if days := len(c.plan.Days.Dates); s.Day < 0 || s.Day > 0 && days > 0 && s.Day > days {
			c.refuse(at("day"), "it is dropped on day %d, and there are %d", s.Day, days).Hint("count days from 1, or leave them out")
		}
	}
	if len(taken) == 0 {
		return
	}
	for i, s := range c.plan.Specimens {
		if s.Place == 0 && !s.Spare {
			c.refuse(Place{Part: SpecimenPart, Index: i, Field: "place"}, "others have a place in the order of drops, and it has none").
				Hint("give every specimen that is no spare its place, or none")
		}
	}
}
