package doe

import "fmt"

// Order is a draw of the order of runs over days.
type Order struct {
	Count  []int // runs of each treatment
	Days   []int // runs of each day; their sum is that of Count
	MaxRun int   // longest run of one treatment in a day; 0 for any
	Slack  int   // of the numbers of each treatment over days, see Family

	Anchor    int  // a treatment, the baseline say, that begins and ends each day
	Anchored  bool // whether there is one
	Anchoring int  // runs of it at either end of a day; 0 for 1
}

// Draw is the order as a draw over its runs, day by day. It returns ErrRange, with
// the numbers, when the anchors take more runs than there are.
func (o Order) Draw() (Draw, error) {
	d := Draw{Count: o.Count, MaxRun: o.MaxRun}
	day := Family{Name: "days", Slack: o.Slack}
	ends := max(o.Anchoring, 1)
	for k, runs := range o.Days {
		first := len(day.Block)
		for range runs {
			day.Block = append(day.Block, k)
		}
		if o.Anchored {
			if d.Fixed == nil {
				d.Fixed = map[int]int{}
			}
			for i := range min(ends, runs) {
				d.Fixed[first+i], d.Fixed[len(day.Block)-1-i] = o.Anchor, o.Anchor
			}
		}
	}
	if n := d.slots(); n != len(day.Block) {
		return Draw{}, fmt.Errorf("%w: %d runs, the days hold %d", ErrRange, n, len(day.Block))
	}
	if o.Anchored && (o.Anchor < 0 || o.Anchor >= len(o.Count) || len(d.Fixed) > o.Count[o.Anchor]) {
		have := 0
		if o.Anchor >= 0 && o.Anchor < len(o.Count) {
			have = o.Count[o.Anchor]
		}
		return Draw{}, fmt.Errorf("%w: %d runs of the baseline at the ends of %d days, it has %d; %d more runs of it, or fewer days, would do", ErrRange, len(d.Fixed), len(o.Days), have, len(d.Fixed)-have)
	}
	d.Families, d.Row = []Family{day}, day.Block
	return d, nil
}
