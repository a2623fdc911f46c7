package main

import (
	"math"
	"slices"
	"testing"
)

// Tables of laboratories as a public repository of [NISTHB151]'s authors has them,
// through the command. Figures of glucose, paper, rubber and wafers by R 4.2.2,
// those of pentosans by R's PMCMRplus, which has the same table from [ASTME691].

// flagged tells whether a lab stands out by a statistic as an outlier.
func (f figures) flagged(material int, lab, statistic string) bool {
	f.Helper()
	return slices.ContainsFunc(f.at("materials", material, "flags").([]any), func(v any) bool {
		m := v.(map[string]any)
		return m["statistic"] == statistic && m["grade"] == "outlier" && m["labs"].([]any)[0] == lab
	})
}

// Means, s_x, s_r and s_R of five materials with one cell of 148.30, which is
// flagged and not left out; named, it is left out beside the full result.
func TestGlucoseOfTheCommand(t *testing.T) {
	path := published(t, "glucose as filed", "nist-interlab", "GLUCOSE.DAT")
	args := []string{"precision", asTable(t, "y,lab,material", fields(t, path, 25, 3)), "--value", "y", "--lab", "lab", "--cell", "material"}
	f := ask(t, append(args, "--without", "4/3")...)
	for i, w := range [][4]float64{
		{41.51833, 0.606127, 1.063224, 1.063224},
		{79.67958, 1.002751, 1.494854, 1.579631},
		{135.14292, 2.655945, 2.748272, 3.476977},
		{194.71708, 2.595005, 2.625065, 3.365713},
		{294.49208, 2.693136, 3.934974, 4.192334},
	} {
		f.is(w[0], 5e-6, "materials", i, "mean")
		f.is(w[1], 1e-6, "materials", i, "sd_of_cell_means")
		f.is(w[2], 1e-6, "materials", i, "repeatability", "sd")
		f.is(w[3], 1e-6, "materials", i, "reproducibility", "sd")
	}
	f.is(2.4088, 5e-5, "materials", 2, "cells", 3, "k")
	if !f.flagged(2, "4", "k") || f.flagged(0, "4", "k") {
		t.Errorf("the cell of 148.30: %v", f.at("materials", 2, "flags"))
	}
	if left := f.at("without", "materials", 2, "cells").([]any); len(left) != 7 {
		t.Errorf("%d cells without it", len(left))
	}
	f.is(24, 0, "materials", 2, "readings")
	f.least(22)
}

// Pentosans of wood pulp, 9 materials in 7 laboratories.
func TestPentosans(t *testing.T) {
	path := published(t, "pentosans of wood pulp", "nist-interlab", "MANDEL6.DAT")
	f := ask(t, "precision", asTable(t, "y,lab,material", fields(t, path, 25, 3)), "--value", "y", "--lab", "lab", "--cell", "material")
	for i, w := range [][3]float64{
		{.40476, .01499, .11373},
		{.88414, .03220, .05189},
		{1.12805, .14294, .19570},
		{1.26857, .03748, .07418},
		{1.98095, .03958, .06274},
		{4.18143, .03251, .20883},
		{5.18429, .13304, .24282},
		{10.40095, .19365, .58475},
		{16.36095, .21564, 1.10422},
	} {
		f.is(w[0], 5.1e-6, "materials", i, "mean")
		f.is(w[1], 5.1e-6, "materials", i, "repeatability", "sd")
		f.is(w[2], 5.1e-6, "materials", i, "reproducibility", "sd")
	}
	f.least(27)
}

// One result a laboratory, and two: laboratory 27 stands apart in both tables of a
// proficiency test. The table has no figures; h is the definition worked here.
func TestProficiency(t *testing.T) {
	one := fields(t, published(t, "proficiency test", "nist-interlab", "E2489A.DAT"), 25, 2)
	f := ask(t, "precision", asTable(t, "lab,y", one[len(one)-30:]), "--value", "y", "--lab", "lab")
	sum, squares, apart := 0.0, 0.0, 0.0
	for _, r := range one[len(one)-30:] {
		y := parsed(t, r[1])
		sum += y
		squares += y * y
		if r[0] == "27" {
			apart = y
		}
	}
	h := (apart - sum/30) / math.Sqrt((squares-sum*sum/30)/29)
	f.is(h, 1e-9, "materials", 0, "cells", 26, "h")
	if !f.flagged(0, "27", "h") || !f.flagged(0, "27", "Grubbs, highest") {
		t.Errorf("laboratory 27: %v", f.at("materials", 0, "flags"))
	}
	f.least(1)
	two := fields(t, published(t, "proficiency test", "nist-interlab", "E2489B.DAT"), 25, 3)
	var rows [][]string
	for _, r := range two[len(two)-30:] {
		rows = append(rows, []string{r[0], r[1]}, []string{r[0], r[2]})
	}
	f = ask(t, "precision", asTable(t, "lab,y", rows), "--value", "y", "--lab", "lab")
	f.is(60, 0, "materials", 0, "readings")
	if !f.flagged(0, "27", "h") || !f.flagged(0, "12", "k") {
		t.Errorf("laboratories 27 and 12: %v", f.at("materials", 0, "flags"))
	}
}

// Stress of rubber, 7 materials by 11 laboratories, one value each: laboratories
// with materials as a block, and the other way round, are the two-way analysis of
// variance. Paper thickness: 24 people by four, people as levels and as random.
// Wafers: 20 days by five.
func TestTwoWaysAndNested(t *testing.T) {
	rubber := asTable(t, "y,lab,material", fields(t, published(t, "stress of rubber", "nist-interlab", "MANDEL7.DAT"), 25, 3))
	for _, c := range []struct {
		condition, block string
		f, tol, df1      float64
	}{{"lab", "material", 8.08786, 5e-6, 10}, {"material", "lab", 633.952, 5e-4, 6}} {
		f := ask(t, "compare", rubber, "--value", "y", "--condition", c.condition, "--block", c.block)
		f.is(c.f, c.tol, "terms", 0, "f")
		f.is(c.df1, 0, "terms", 0, "df1")
		f.is(60, 1e-4, "terms", 0, "df2")
		f.is(math.Sqrt(.0549855), 2e-7, "residual_sd")
		f.least(4)
	}
	paper := asTable(t, "y,girl,time", fields(t, published(t, "paper thickness", "nist-interlab", "YOUDEN31.DAT"), 25, 3))
	f := ask(t, "compare", paper, "--value", "y", "--condition", "girl")
	f.is(3.36724, 5e-6, "terms", 0, "f")
	f.is(72, 1e-9, "terms", 0, "df2")
	f.least(2)
	f = ask(t, "compare", paper, "--value", "y", "--specimen", "girl")
	f.is(.00298968, 2e-8, "random", 0, "sd") // R's search stopped there
	f.is(.00388626, 2e-8, "residual_sd")
	f.least(2)
	wafers := asTable(t, "y,day", fields(t, published(t, "thickness of wafers", "nist-interlab", "CCXBAR.DAT"), 25, 2))
	f = ask(t, "compare", wafers, "--value", "y", "--specimen", "day")
	f.is(23.726, 1e-9, "means", 0, "mean")
	f.is(100, 0, "n")
	f.least(2)
}
