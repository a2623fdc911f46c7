package figure

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fallwright.example/campaign"
)

func markedRope() (campaign.Rope, []campaign.Specimen) {
	rope := campaign.Rope{Lot: "Marram 9.6", Length: 60, Discard: 1, MiddleMark: 30, Damage: []campaign.Stretch{{From: 41, To: 43.5}}}
	var pieces []campaign.Specimen
	for i := range 8 {
		pieces = append(pieces, campaign.Specimen{
			Label: fmt.Sprintf("M-%02d", i+1), Lot: rope.Lot, Condition: two[i%2], From: 1 + 3.4*float64(i), To: 4.4 + 3.4*float64(i), Spare: i == 2,
		})
	}
	return rope, pieces
}

// Every piece is drawn where it lies, in proportion to the rope, along it and down
// it; the words say each.
func TestCutIsToScale(t *testing.T) {
	rope, pieces := markedRope()
	checked := 0
	for _, width := range []float64{880, 360} {
		s := Cut(rope, pieces, two, false, Canvas{Width: width})
		down := width < narrowGantt
		along := func(p Point) float64 {
			if down {
				return p.Y
			}
			return p.X
		}
		low, high := s.Frame.Left, s.Frame.Right
		if down {
			low, high = s.Frame.Top, s.Frame.Bottom
		}
		metre := (high - low) / rope.Length
		for _, piece := range pieces {
			var box *Line
			marks := 0
			for _, m := range s.Marks {
				switch m := m.(type) {
				case Line:
					if m.Of == piece.Label {
						box = &m
					}
				case Dot:
					if m.Of == piece.Label {
						marks++
						if mid := low + metre*(piece.From+piece.To)/2; math.Abs(along(Point{m.X, m.Y})-mid) > 0.5 {
							t.Errorf("%g px: the mark of %s is not in its middle", width, piece.Label)
						}
					}
				}
			}
			if box == nil || marks != 1 {
				t.Fatalf("%g px: %s has %d marks", width, piece.Label, marks)
			}
			from, to := math.Inf(1), math.Inf(-1)
			for _, p := range box.Points {
				from, to = math.Min(from, along(p)), math.Max(to, along(p))
			}
			if math.Abs(from-low-metre*piece.From) > pieceGap || math.Abs(to-low-metre*piece.To) > pieceGap {
				t.Errorf("%g px: %s lies from %.1f to %.1f px", width, piece.Label, from-low, to-low)
			}
			if (box.Dash != nil) != piece.Spare {
				t.Errorf("%g px: %s is in dashes: %v", width, piece.Label, box.Dash != nil)
			}
			if !strings.Contains(s.Desc, fmt.Sprintf("%s %.2f to %.2f m, %s", piece.Label, piece.From, piece.To, piece.Condition)) {
				t.Errorf("the words do not say %s", piece.Label)
			}
			checked++
		}
		for _, words := range []string{"1 m at each end", "Damage from 41 to 43.5 m", "Middle mark at 30 m"} {
			if !strings.Contains(s.Desc, words) {
				t.Errorf("the words do not say %q", words)
			}
		}
	}
	if checked != 16 {
		t.Errorf("%d pieces looked at, want 16", checked)
	}
}

// What is hidden is in no mark and no word.
func TestCutHidesConditions(t *testing.T) {
	rope, pieces := markedRope()
	plain, hidden := Cut(rope, pieces, two, false, Canvas{Width: 360}), Cut(rope, pieces, two, true, Canvas{Width: 360})
	if !strings.Contains(plain.SVG(), two[1]) || !strings.Contains(plain.SVG(), "spare") {
		t.Fatal("an open picture does not name conditions")
	}
	for _, word := range append([]string{"spare"}, two...) {
		if strings.Contains(hidden.SVG(), word) {
			t.Errorf("a hidden picture says %q", word)
		}
	}
	for _, m := range hidden.Marks {
		if l, ok := m.(Line); ok && (l.Ink >= 0 || l.Dash != nil) {
			t.Error("a hidden piece is drawn in the colour of its condition, or as a spare")
		}
		if _, ok := m.(Dot); ok {
			t.Error("a hidden piece has a mark")
		}
	}
}

// Words neither overlap nor leave the picture, whatever is cut.
func TestCutWordsHaveRoom(t *testing.T) {
	rope, pieces := markedRope()
	long := rope
	long.Length = 200
	none := campaign.Rope{Lot: "Marram 9.6"}
	checked := 0
	for _, width := range []float64{360, 880} {
		for _, s := range []*Scene{
			Cut(rope, pieces, two, false, Canvas{Width: width}), Cut(long, pieces, two, false, Canvas{Width: width}),
			Cut(none, pieces, two, false, Canvas{Width: width}), Cut(none, nil, two, false, Canvas{Width: width}),
		} {
			var boxes []Box
			for _, m := range s.Marks {
				text, ok := m.(Text)
				if !ok {
					continue
				}
				b := text.bounds()
				if b.Left < -1 || b.Right > s.Width+1 || b.Bottom > s.Height+1 || b.Top < -1 {
					t.Errorf("%g px: %q leaves the picture", width, text.Body)
				}
				for _, o := range boxes {
					if b.Left < o.Right && o.Left < b.Right && b.Top+2 < o.Bottom && o.Top+2 < b.Bottom {
						t.Errorf("%g px: %q lies over another text", width, text.Body)
					}
				}
				boxes = append(boxes, b)
				checked++
			}
		}
	}
	if checked < 40 {
		t.Errorf("%d texts looked at, want 40", checked)
	}
}
