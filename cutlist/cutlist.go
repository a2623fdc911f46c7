// Package cutlist says which specimen is cut from where in which rope: pieces of
// the length that a drop needs, clear of ends, damage and marks, with the least
// rope opened, and conditions drawn so that they are balanced over ropes and along
// each rope.
//
// Lengths are metres in and out. Inside they are whole millimetres, which is as
// well as rope is measured: pieces are made longer and usable stretches shorter to
// the next whole one.
package cutlist

import (
	"math"
	"math/big"
	"slices"

	"fallwright.example/num/doe"
)

// Interval is a stretch of rope, From < To, in m from the rope's zero.
type Interval struct{ From, To float64 }

// Rope is one rope as it lies there. Positions count from its end called Zero.
type Rope struct {
	Name   string // different for each rope
	Lot    string
	Length float64 // m
	Zero   string  // the end that positions count from: "tagged end"

	DiscardStart float64 // m at the zero end that are not used
	DiscardEnd   float64 // m at the other end
	Damage       []Interval
	Middle       float64 // m, of the middle mark to be kept out of pieces; 0 for none
	MiddleClear  float64 // m on either side of the mark that are kept out too
}

// Want is some specimens of one lot that are to be alike.
type Want struct {
	Lot        string
	Condition  string // empty for spares
	Count      int
	FreeLength float64 // m of rope between anchor and mass
}

// Knots is what the ends of a specimen take.
type Knots struct {
	Count  int     // of a specimen, 2 for one at each end
	TakeUp float64 // m of rope that one knot uses
	Tail   float64 // m that stands out of one
	Name   string  // "figure of eight"
}

// Demand is what is to be cut.
type Demand struct {
	Wants []Want
	Knots Knots

	Kerf   float64 // m that one cut takes away
	Keep   float64 // m; what is left over and shorter is waste
	MaxRun int     // how many pieces of one condition may follow each other along a rope; 0 for any
	Spread bool    // use all ropes of a lot alike, not as few as will do
	Seed   uint64

	Blind  bool              // labels are codes and say nothing of the condition
	Prefix map[string]string // of labels, by lot; the first letter of the lot where there is none
	Cutter string            // "hot cutter" when empty
}

// PieceLength is the rope, in m, that a specimen of a free length takes:
// free length + knots · (take-up + tail).
func (d Demand) PieceLength(freeLength float64) float64 {
	return freeLength + float64(d.Knots.Count)*(d.Knots.TakeUp+d.Knots.Tail)
}

// Piece is one specimen before it is cut.
type Piece struct {
	Label      string
	Rope, Lot  string
	Condition  string // empty for a spare, and in a list that hides conditions
	Spare      bool
	From, To   float64 // m
	FreeLength float64 // m

	Set   int    // along the rope, from 1: the block of the draw; 0 where sets could not be kept apart
	Place string // "ends" for the first and last quarter of a rope's pieces, else "middle"
}

// Use is what becomes of one rope.
type Use struct {
	Rope, Lot string
	Pieces    int
	Cut       float64    // m in pieces
	Lost      float64    // m taken away by cuts between pieces
	Unusable  float64    // m of discarded ends, damage and mark
	Waste     float64    // m left over in stretches shorter than Demand.Keep
	Left      []Interval // stretches that can be kept
}

// List is a cut list.
type List struct {
	Pieces []Piece // rope by rope, along each rope
	Uses   []Use   // of every rope, cut or not
	Key    []Key   // which label has which condition

	Opened float64 // m usable of the ropes that are cut
	Waste  float64 // m
	Proven bool    // no balanced list opens less rope
	Notes  []string

	// Arrangements is how many assignments of conditions were as likely as this
	// one; nil where they were drawn in two steps, each even by itself.
	Arrangements *big.Int
	Seed         uint64
	Blind        bool
	Cutter       string
}

// Key opens a blinded label.
type Key struct{ Label, Condition string }

// Plan makes the cut list. It returns a problem when the input is not what it has
// to be, when the ropes are too short (with how many specimens fit and how much
// rope is wanting), and when the draw has no arrangement (with what would help).
//
// Per lot: conditions make sets, one piece for each condition (more for a condition
// with a multiple of the pieces), that follow each other along a rope; what is over
// makes a last set that is not full. Pieces are dealt to ropes so that, first, the
// ropes opened have the least usable length, then the fewest sets are not full.
// Within a rope the least length of stretches is opened (num/cutting), or, for pieces
// of several lengths, set is laid after set where that fits. Which
// condition stands where is drawn by num/doe.Sets, for the k-th lot of the demand,
// from 1, with the seed doe.Mixed(Seed, k). Codes of blinded labels come from
// doe.Mixed(Seed, 0).
func Plan(ropes []Rope, d Demand) (*List, error) {
	if err := check(ropes, d).Err(); err != nil {
		return nil, err
	}
	l := &List{Seed: d.Seed, Blind: d.Blind, Proven: true, Cutter: d.Cutter, Arrangements: big.NewInt(1)}
	if l.Cutter == "" {
		l.Cutter = "hot cutter"
	}
	for k, lot := range lots(d) {
		if err := l.addLot(newLot(lot, ropes, d), doe.Mixed(d.Seed, uint64(k+1))); err != nil {
			return nil, err
		}
	}
	l.label(d)
	for _, r := range ropes {
		l.addUse(r, d)
	}
	return l, nil
}

// lots are the lots wanted, in the order in which they first stand in the demand.
func lots(d Demand) []string {
	var out []string
	for _, w := range d.Wants {
		if w.Count > 0 && !slices.Contains(out, w.Lot) {
			out = append(out, w.Lot)
		}
	}
	return out
}

// Millimetres: up for what is needed, down for what there is; what is a whole number
// but for rounding of the input stays that number.
func mmUp(m float64) int   { return int(math.Ceil(m*1000 - 1e-6)) }
func mmDown(m float64) int { return int(math.Floor(m*1000 + 1e-6)) }
func metres(mm int) float64 {
	return float64(mm) / 1000
}
