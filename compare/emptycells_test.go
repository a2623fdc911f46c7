package compare

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// Source: anova(type = 3) of lmerTest on lme4's fit of sleepstudy [Belenky2003],
// the subjects dealt into three groups, day 3 of group B taken out. Tolerance:
// printed digits of F and p, 1e-6 of degrees of freedom, which R differentiates
// numerically.
func TestTermsBesideAnEmptyCell(t *testing.T) {
	file, err := os.Open("../refdata/compare/sleepstudy.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var d Data
	for _, r := range rows[1:] {
		if r[1] == "B" && r[2] == "3" {
			continue
		}
		v, _ := strconv.ParseFloat(r[3], 64)
		d.Value, d.Specimen = append(d.Value, v), append(d.Specimen, r[0])
		d.Condition, d.Fall = append(d.Condition, r[1]), append(d.Fall, Fall(r[2]))
	}
	checked := 0
	for by, want := range map[lmm.DF][]TermTest{
		lmm.KenwardRoger: {
			{"condition", 1.52288373642, 2, 15.0388814946, 0.249881328349},
			{"fall", 19.09489854033, 9, 130.0002002583, 5.15170756699e-20},
			{"condition:fall", 1.43371460587, 17, 130.0002002583, 0.130879336199},
		},
		lmm.Satterthwaite: {
			{"condition", 1.52288538200, 2, 15.0250121466, 0.249908748693},
			{"fall", 19.09489854033, 9, 129.9863005798, 5.16045895141e-20},
			{"condition:fall", 1.43371460587, 17, 129.9863005852, 0.130881501473},
		},
	} {
		a := analysed(t, d, Ask{DF: by})
		for i, w := range want {
			g := a.Terms[i]
			if g.Term != w.Term || !near.Abs(g.F, w.F, 1e-6*w.F) || g.DF1 != w.DF1 || !near.Abs(g.DF2, w.DF2, 1e-6*w.DF2) || !near.Abs(g.P, w.P, 1e-5*w.P) {
				t.Errorf("%v: %+v, want %+v", by, g, w)
			}
			checked++
		}
	}
	if checked != 6 {
		t.Fatalf("%d looked at", checked)
	}
}
