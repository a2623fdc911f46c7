package campaign

import (
	"slices"
	"testing"
	"time"
)

// done is a study in which every specimen had its three falls at three-minute
// rests, as planned.
func done() Study {
	s := begun()
	s.Drops = nil
	for i, label := range []string{"M-01", "M-02", "S-01"} {
		for n := 1; n <= 3; n++ {
			s.Drops = append(s.Drops, Drop{
				ID: label + itoa(n), Stamp: at(float64(100*i + 3*n)), Kind: Fall,
				Specimen: label, Fall: n, Setting: "standard",
			})
		}
	}
	return s
}

func TestDepartures(t *testing.T) {
	late := func(i int, by time.Duration) func(*Study) {
		return func(s *Study) { s.Drops[i].At = s.Drops[i].At.Add(by) }
	}
	cases := []struct {
		name  string
		alter func(s *Study)
		want  []Departure
	}{
		{"as planned", func(*Study) {}, nil},
		{"rest at the edge of the tolerance", late(2, 15*time.Second), nil},
		{
			"rest too long", late(2, 70*time.Second),
			[]Departure{{"M-01 fall 3", "rest of 4 min 10 s, set 3 min with 15 s tolerance"}},
		},
		{
			"rest too short by a hair", late(2, -15100*time.Millisecond),
			[]Departure{{"M-01 fall 3", "rest of 2 min 44.9 s, set 3 min with 15 s tolerance"}},
		},
		{
			"rest over a night", late(5, 14*time.Hour),
			[]Departure{{"M-02 fall 3", "rest of 14 h 3 min, set 3 min with 15 s tolerance"}},
		},
		{
			"no tolerance", func(s *Study) { s.Plan.Series.Rest.Tolerance = 0; late(2, time.Second)(s) },
			[]Departure{{"M-01 fall 3", "rest of 3 min 1 s, set 3 min without tolerance"}},
		},
		{"rest not controlled", func(s *Study) { s.Plan.Series.Rest = Rest{}; late(2, time.Hour)(s) }, nil},
		{"a void that did not load the rope is no fall of the rest", func(s *Study) {
			s.Drops = slices.Insert(s.Drops, 2, Drop{
				Stamp: at(7), Kind: Fall, Specimen: "M-01", Fall: 3,
				Setting: "standard", Void: &Void{Reason: "hook opened"},
			})
		}, nil},
		{
			"void and loaded", func(s *Study) { s.Drops[1].Void = &Void{Reason: "mass twisted", Loaded: true} },
			[]Departure{{"M-01 fall 2", "void (mass twisted), but the rope was loaded: the series has no value for this fall"}},
		},
		{
			"last fall void and not loaded", func(s *Study) { s.Drops[8].Void = &Void{Reason: "hook opened"} },
			[]Departure{{"S-01", "series ended after fall 2 of 3"}},
		},
		{
			"never dropped", func(s *Study) { s.Drops = s.Drops[:6] },
			[]Departure{{"S-01", "not dropped; the plan has 3 falls"}},
		},
		{"one fall more", func(s *Study) {
			s.Drops = append(s.Drops, Drop{Stamp: at(212), Kind: Fall, Specimen: "S-01", Fall: 4, Setting: "standard"})
		}, []Departure{{"S-01 fall 4", "beyond the plan, which has 3 falls a specimen"}}},
		{
			"another setting", func(s *Study) { s.Drops[0].Setting = "low" },
			[]Departure{{"M-01 fall 1", `setting "low", the series has "standard"`}},
		},
		{
			"frozen late", func(s *Study) { s.Frozen.Stamp = at(5) },
			[]Departure{{"plan", "frozen on 2026-05-04 09:05:00, after the first fall at 2026-05-04 09:03:00 (M-01 fall 1)"}},
		},
		{"frozen after a fall that was recorded later", func(s *Study) {
			s.Frozen.Stamp = at(5)
			slices.Reverse(s.Drops)
		}, []Departure{{"plan", "frozen on 2026-05-04 09:05:00, after the first fall at 2026-05-04 09:03:00 (M-01 fall 1)"}}},
		{"frozen at the first fall", func(s *Study) { s.Frozen.Stamp = at(3) }, nil},
		{"dialled in on a specimen", func(s *Study) {
			s.Drops = append(s.Drops, Drop{Stamp: at(1), Kind: Trial, Specimen: "M-02"})
		}, []Departure{{"M-02", "loaded by a trial at 2026-05-04 09:01:00, which is not part of its series"}}},
		{"dialled in on a specimen, not loaded", func(s *Study) {
			s.Drops = append(s.Drops, Drop{Stamp: at(1), Kind: Trial, Specimen: "M-02", Void: &Void{Reason: "hook opened"}})
		}, nil},
		{"nothing begun", func(s *Study) { s.Drops = nil }, nil},
		{"not frozen", func(s *Study) { s.Frozen = nil; late(2, time.Hour)(s) }, nil},
		{
			"two at once, in order", func(s *Study) { late(5, time.Minute)(s); s.Drops[0].Setting = "low" },
			[]Departure{
				{"M-01 fall 1", `setting "low", the series has "standard"`},
				{"M-02 fall 3", "rest of 4 min, set 3 min with 15 s tolerance"},
			},
		},
	}
	for _, c := range cases {
		s := done()
		c.alter(&s)
		if got := s.Departures(); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n got %v\nwant %v", c.name, got, c.want)
		}
	}
}

// What Departures compares, CheckDrop lets through: done is a study that the
// rules allow, drop by drop.
func TestDoneIsAllowed(t *testing.T) {
	s := done()
	drops := s.Drops
	s.Drops = nil
	for _, d := range drops {
		if err := s.CheckDrop(d); err != nil {
			t.Errorf("%s: %v", d.name(), err)
		}
		s.Drops = append(s.Drops, d)
	}
	if len(s.Drops) != 9 {
		t.Errorf("%d drops, want 9", len(s.Drops))
	}
}
