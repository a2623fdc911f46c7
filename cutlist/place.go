package cutlist

import (
	"fmt"
	"slices"
	"strings"

	"fallwright.example/num/doe"
)

// addLot deals, cuts and draws one lot.
func (l *List) addLot(lot *lot, seed uint64) error {
	dealt, ok := lot.deal()
	if !ok {
		return lot.tooShort()
	}
	cuts := make([][]segment, len(lot.ropes))
	for r, pieces := range dealt {
		if sum(pieces) == 0 {
			continue
		}
		var err error
		if cuts[r], err = lot.segments(r, pieces); err != nil {
			return err
		}
		slices.SortFunc(cuts[r], func(a, b segment) int { return a.from - b.from })
		l.Opened += metres(usable(lot.usable[r]))
	}
	a, sets, err := lot.draw(cuts, seed)
	if err != nil {
		return lot.noDraw(err)
	}
	l.Proven = l.Proven && lot.certain
	if l.Arrangements == nil || a.Size == nil {
		l.Arrangements = nil
	} else {
		l.Arrangements.Mul(l.Arrangements, a.Size)
	}
	if sets.Loose {
		l.Notes = append(l.Notes, "lot "+lot.name+": its pieces have several lengths, so that conditions are balanced over the ropes but not along each")
	}
	for r := range lot.ropes {
		l.place(lot, r, cuts[r], sets, a.Treatment[r])
	}
	return nil
}

// place puts the pieces of a rope one behind the other into its segments.
func (l *List) place(lot *lot, r int, segments []segment, sets doe.Sets, want []int) {
	slot, size, row := 0, sum(lot.set), sets.Rows[r]
	for _, seg := range segments {
		at := seg.from
		for range sum(seg.pieces) {
			w := lot.wants[want[slot]]
			length := lot.length[lot.kind[want[slot]]]
			set := row.Whole + 1
			switch {
			case sets.Loose:
				set = 0
			case size > 0:
				set = min(slot/size, row.Whole) + 1
			}
			l.Pieces = append(l.Pieces, Piece{
				Rope: lot.ropes[r].Name, Lot: lot.name, Condition: w.Condition, Spare: w.Condition == "",
				From: metres(at), To: metres(at + length), FreeLength: w.FreeLength,
				Set: set, Place: placeOf(slot, row.Slots),
			})
			at += length + lot.kerf
			slot++
		}
	}
}

// placeOf names the first and last quarter of the pieces of a rope, rounded.
func placeOf(slot, slots int) string {
	quarter := (slots + 2) / 4
	if slot < quarter || slot >= slots-quarter {
		return "ends"
	}
	return "middle"
}

// addUse adds up what becomes of a rope.
func (l *List) addUse(r Rope, d Demand) {
	u := Use{Rope: r.Name, Lot: r.Lot}
	stretches := r.stretches()
	u.Unusable = r.Length - metres(usable(stretches))
	for _, s := range stretches {
		at := s.from
		for _, p := range l.Pieces {
			from, to := mmUp(p.From), mmUp(p.To)
			if p.Rope != r.Name || from < s.from || from >= s.to {
				continue
			}
			u.Pieces++
			u.Cut += metres(to - from)
			u.Lost += metres(from - at)
			at = to
		}
		if at > s.from && at < s.to { // the last piece is cut off what is left
			lost := min(mmUp(d.Kerf), s.to-at)
			u.Lost += metres(lost)
			at += lost
		}
		switch left := metres(s.to - at); {
		case left <= 0:
		case left >= d.Keep || at == s.from && l.unopened(r):
			u.Left = append(u.Left, Interval{metres(at), metres(s.to)})
		default:
			u.Waste += left
		}
	}
	l.Waste += u.Waste
	l.Uses = append(l.Uses, u)
}

func (l *List) unopened(r Rope) bool {
	return !slices.ContainsFunc(l.Pieces, func(p Piece) bool { return p.Rope == r.Name })
}

// code is the k-th of four letters and digits that are not easily taken for each other.
func code(seed uint64, k int) string {
	const letters = "ACDEFHJKLMNPRTUVWXY3479"
	word := doe.SeedOf(doe.Mixed(seed, 0), k)
	b := make([]byte, 4)
	for i := range b {
		b[i] = letters[word%uint64(len(letters))]
		word /= uint64(len(letters))
	}
	return string(b)
}

// label numbers the pieces of each lot along the list, or draws codes.
func (l *List) label(d Demand) {
	number, used := map[string]int{}, map[string]bool{}
	drawn, prefix := 0, prefixes(d)
	for i := range l.Pieces {
		p := &l.Pieces[i]
		number[p.Lot]++
		p.Label = fmt.Sprintf("%s-%02d", prefix[p.Lot], number[p.Lot])
		for l.Blind {
			drawn++
			if p.Label = code(d.Seed, drawn); !used[p.Label] {
				break
			}
		}
		used[p.Label] = true
		l.Key = append(l.Key, Key{p.Label, p.Condition})
	}
	slices.SortFunc(l.Key, func(a, b Key) int { return strings.Compare(a.Label, b.Label) })
}

// prefixes are what labels of each lot begin with: what the demand says, or as many
// of the lot's first letters as tell it from the lots before it.
func prefixes(d Demand) map[string]string {
	out, used := map[string]string{}, map[string]bool{}
	for _, lot := range lots(d) {
		out[lot] = d.Prefix[lot]
		letters := []rune(lot)
		for n := 1; d.Prefix[lot] == "" && n <= len(letters); n++ {
			if out[lot] = string(letters[:n]); !used[out[lot]] {
				break
			}
		}
		used[out[lot]] = true
	}
	return out
}

// Hidden is the list without conditions and key, for those who must not know them.
func (l *List) Hidden() *List {
	h := *l
	h.Key = nil
	h.Pieces = slices.Clone(l.Pieces)
	for i := range h.Pieces {
		h.Pieces[i].Condition, h.Pieces[i].Spare = "", false
	}
	return &h
}
