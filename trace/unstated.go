package trace

// sayUnstated names what the budgets had to leave out.
func (t *take) sayUnstated() {
	d := t.set.Doubt
	missing := ""
	for _, s := range []struct {
		name  string
		lacks bool
	}{
		{"the cell's calibration", d.Cell == 0},
		{"the mass", d.Mass == 0 && t.set.Mass > 0},
		{"the drop", d.Drop == 0 && t.set.Drop > 0},
		{"the guide's friction", d.Guide == 0 && t.set.Guide == 0 && t.speed.from == "drop"},
	} {
		if s.lacks {
			if missing != "" {
				missing += ", "
			}
			missing += s.name
		}
	}
	if missing != "" {
		t.note(Said, "no uncertainty was stated for %s: the uncertainties given leave it out", missing)
	}
}
