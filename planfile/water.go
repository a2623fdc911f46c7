package planfile

import (
	"math"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/num/quantity"
)

// water reads how ropes are soaked and weighed. A time or depth of zero is a value
// here, and one that is left out is not stated.
func (r *reading) water(root *node) {
	for _, n := range r.tables(root, "water") {
		f := r.open(n.part, n.node, 0)
		w := campaign.Water{
			Definition: f.text("definition"), DryState: f.text("dry_state"), Drain: f.stated("drain", quantity.Time),
			Blot: f.text("blot"), Bath: f.text("bath"), Ends: f.text("ends"), Depth: f.stated("depth", quantity.Length),
			Resolution: f.known("resolution", quantity.Mass), Repeatability: f.known("repeatability", quantity.Mass),
		}
		if _, there := f.node.get("bath_c"); there {
			v := f.number("bath_c")
			w.Celsius = &v
		}
		w.At = f.soakTimes()
		r.made.Water = w
	}
}

// stated reads a quantity for which zero is not the same as left out.
func (f form) stated(name string, d quantity.Dimension) *float64 {
	v := f.in(name, d)
	if _, there := f.node.get(name); !there || f.spoilt(f.field(name)) {
		return nil
	}
	return &v
}

// soakTimes reads ["1 min", "15 min"].
func (f form) soakTimes() (out []time.Duration) {
	_, items := f.texts("at")
	for _, n := range items {
		v, err := quantity.Parse(n.text, quantity.Time)
		if err != nil || math.Abs(v) > longest.Seconds() {
			f.refuse(n.at, "%s is no time of a soak", shown(n)).Hint(`write a time with its unit, such as: "15 min"`)
			f.spoil(f.field("at"))
			return nil
		}
		out = append(out, time.Duration(math.Round(v*float64(time.Second))))
	}
	return out
}
