package figure

import (
	"fmt"
	"strings"
	"testing"

	"fallwright.example/compare"
	"fallwright.example/power"
	"fallwright.example/problem"
)

// powerCurve is an invented curve over specimens and falls, in which one fall is too
// few for the second question.
func powerCurve() *power.Curve {
	c := &power.Curve{Specimens: []int{2, 3, 4, 5, 6, 8, 10, 12, 16}, Falls: []int{1, 3, 5}}
	for _, f := range c.Falls {
		for _, n := range c.Specimens {
			cell := power.Cell{Specimens: n, Falls: f}
			if f == 1 && n < 4 {
				cell.Refused = problem.New(problem.TooFew, "plan", "too few")
			} else {
				cell.Result = &power.Result{Chances: []power.Chance{powerChance("soaked", n, f), powerChance("treated", n, f-1)}}
			}
			c.Cells = append(c.Cells, cell)
		}
	}
	return c
}

func powerChance(name string, n, f int) power.Chance {
	p := 1 - 1/(1+0.02*float64(n*n)*float64(f)/float64(f+1))
	return power.Chance{Question: compare.Question{Name: name}, Power: power.Share{P: p, SE: 0.004}}
}

func TestPowerPictures(t *testing.T) {
	wide, narrow := Canvas{Width: 720, Height: 380, Remark: "invented numbers"}, Canvas{Width: 360, Height: 320}
	golden(t, "power", Power(powerCurve(), "soaked", 0.8, wide).SVG())
	golden(t, "power-narrow", Power(powerCurve(), "", 0.8, narrow).SVG())
	golden(t, "power-none", Power(&power.Curve{}, "", 0.8, narrow).SVG())
}

// Every size that could be judged is a dot at its power, each number of falls is named
// once beside its line, and the text says where the power wanted is first reached.
func TestPowerShowsEverySize(t *testing.T) {
	c := powerCurve()
	s := Power(c, "soaked", 0.8, Canvas{Width: 720, Height: 380})
	y := Scale{Low: 0, High: 100, From: s.Frame.Bottom, To: s.Frame.Top}
	checkScene(t, s)
	checkScene(t, Power(c, "", 0.8, Canvas{Width: 320, Height: 260}))
	dots, checked := map[string]bool{}, 0
	for _, m := range s.Marks {
		if d, ok := m.(Dot); ok {
			dots[fmt.Sprintf("%.6f", d.Y)] = true
		}
	}
	for _, cell := range c.Cells {
		if cell.Result == nil {
			continue
		}
		if !dots[fmt.Sprintf("%.6f", y.At(100*cell.Result.Chances[0].Power.P))] {
			t.Errorf("%d specimens, %d falls have no dot", cell.Specimens, cell.Falls)
		}
		checked++
	}
	for _, name := range []string{"1 fall", "3 falls", "5 falls", "80 % wanted"} {
		found := 0
		for _, m := range s.Marks {
			if x, ok := m.(Text); ok && x.Body == name {
				found++
			}
		}
		if found != 1 {
			t.Errorf("%q stands %d times", name, found)
		}
		checked++
	}
	// 1 − 1/(1 + 0.02·n²·f/(f+1)) ≥ 0.8 from n² = 200(f+1)/f on: 16.3 for three falls,
	// 15.5 for five.
	if !strings.Contains(s.Desc, "5 falls: 2 specimens 6 %") || !strings.Contains(s.Desc, "16 specimens 81 %; reached with 16.") || !strings.Contains(s.Desc, "16 specimens 79 %; not reached.") {
		t.Error(s.Desc)
	}
	if checked != 29 {
		t.Fatalf("%d checked", checked)
	}
}
