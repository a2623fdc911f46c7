// Package findings is the page of answers: sentences first, numbers second,
// method third.
package findings

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
)

// View is every question with its answer.
type View struct {
	Frame    frame.View
	Findings *study.Findings
	Overview *study.Overview
	Counting int
	Path     string // of the study
	Answers  []Answer
	Measures []Measure
}

// Answer is one answer with its picture.
type Answer struct {
	compare.Answer
	Anchor  string
	Picture frame.Picture // the difference against the margin
}

// Measure is one measure's table with its picture.
type Measure struct {
	study.MeasureTable
	Falls   []int
	Picture frame.Picture // the measure by fall and condition
}

func (v View) plan() *campaign.Plan { return &v.Findings.Study.Plan }

// mean writes a condition's mean at one fall, and below it the spread between
// specimens.
func (m Measure) mean(condition string, fall int) (number, below string) {
	for _, c := range m.Cells {
		if c.Condition == condition && c.Fall == fall {
			return figure.UnitOf(m.Measure).Write(c.Mean), spread(m.Measure, c)
		}
	}
	return figure.Missing, ""
}

// difference writes a condition's difference to the baseline at one fall in per
// cent, and below it the interval.
func (m Measure) difference(condition string, fall int) (number, below string) {
	for _, d := range m.Differences {
		if d.Condition == condition && d.Fall == fall {
			limits := figure.Range(d.PercentLower, d.PercentUpper, 1)
			if limits == figure.Missing {
				limits = ""
			}
			return figure.Signed(d.Percent, 1), limits
		}
	}
	return figure.Missing, ""
}

func (m Measure) meansSaid() string {
	return fmt.Sprintf("Mean of the specimens in %s; below it the standard deviation between them and their number.", figure.UnitOf(m.Measure).Name)
}

func (v View) differencesSaid() string {
	return fmt.Sprintf("Difference to %s in %%; below it the 95\u202f%% interval, not adjusted for looking at many.", v.plan().BaselineCondition())
}

// conditions are those of the plan that the measure has a value of.
func (v View) conditions(m Measure) []mark.Condition {
	var out []mark.Condition
	for i, c := range v.plan().Conditions {
		for _, cell := range m.Cells {
			if cell.Condition == c.Name {
				out = append(out, mark.Condition{Place: i, Name: c.Name})
				break
			}
		}
	}
	return out
}

// compared are the conditions of a measure that are not the baseline.
func (v View) compared(m Measure) []mark.Condition {
	return slices.DeleteFunc(v.conditions(m), func(c mark.Condition) bool { return c.Name == v.plan().BaselineCondition() })
}

func (m Measure) heading() string {
	name := string(m.Measure)
	return string(name[0]-'a'+'A') + name[1:]
}

func (v View) counts() string {
	return fmt.Sprintf("%s of %s, %s that count.",
		figure.Counted(len(v.plan().Specimens), "specimen"), figure.Counted(len(v.plan().Ropes), "rope"), figure.Counted(v.Counting, "fall"))
}

func (v View) deviations() int {
	return len(v.Overview.Departures) + len(v.Findings.Study.Deviations)
}

// spread writes the standard deviation and the number of specimens under a
// mean.
func spread(m campaign.Measure, c compare.Cell) string {
	if c.N < 2 || math.IsNaN(c.SD) {
		return fmt.Sprintf("n %d", c.N)
	}
	return fmt.Sprintf("SD %s, n %d", figure.UnitOf(m).Write(c.SD), c.N)
}
