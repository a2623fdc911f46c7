package uptake

import (
	"math"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// Dosed is one reading of a specimen with what it had taken up.
type Dosed struct {
	Specimen string
	Fall     string  // a factor beside uptake; empty where there is one fall
	Uptake   float64 // kg/kg
	Value    float64 // peak force, rebound …, in its unit
}

// Dose is how a reading goes with uptake: value = a + b·uptake.
type Dose struct {
	N, Specimens int
	Slope        Estimate // of the value's unit per kg/kg
	PerTenth     Estimate // change of the value for 10 points of per cent more water
	AtZero       Estimate // the value of a dry specimen, by the line
	DF, P        float64  // of the slope, Kenward and Roger's
	From, To     float64  // range of uptake that it was seen over; the line is not to be read beyond
	Between      float64  // standard deviation between specimens; NaN where each has one reading
	Residual     float64
}

// DoseOf fits the line by the mixed model of num/lmm: fall as a factor where there
// are several, specimen as a random effect where one has several readings, least
// squares otherwise. It refuses fewer than three specimens or two different
// uptakes: TooFew; and a value or uptake that is not finite: Invalid.
func DoseOf(readings []Dosed) (*Dose, error) {
	v := lmm.Variables{Rows: len(readings), Covariates: []lmm.Covariate{{Name: "uptake"}}}
	m := lmm.Model{}
	specimen, falls := map[string]int{}, map[string]int{}
	var of, fall []int
	var fallNames []string
	d := &Dose{N: len(readings), From: math.Inf(1), To: math.Inf(-1), Between: math.NaN()}
	for _, r := range readings {
		if math.IsNaN(r.Uptake+r.Value) || math.IsInf(r.Uptake+r.Value, 0) {
			return nil, problem.New(problem.Invalid, r.Specimen, "uptake %g and value %g, and both have to be numbers", r.Uptake, r.Value)
		}
		if _, known := specimen[r.Specimen]; !known {
			specimen[r.Specimen] = len(specimen)
		}
		if _, known := falls[r.Fall]; !known {
			falls[r.Fall] = len(falls)
			fallNames = append(fallNames, r.Fall)
		}
		of, fall = append(of, specimen[r.Specimen]), append(fall, falls[r.Fall])
		m.Y = append(m.Y, r.Value)
		v.Covariates[0].Value = append(v.Covariates[0].Value, r.Uptake)
		d.From, d.To = min(d.From, r.Uptake), max(d.To, r.Uptake)
	}
	d.Specimens = len(specimen)
	if d.Specimens < 3 || !(d.To > d.From) {
		return nil, problem.New(problem.TooFew, "dose", "%d specimens with uptakes from %.1f to %.1f %%: a line needs three of different uptake", d.Specimens, 100*d.From, 100*d.To).
			Hint("soak specimens for different times before their falls")
	}
	terms := []string{"uptake"}
	if len(falls) > 1 {
		v.Factors, terms = []lmm.Factor{{Name: "fall", Levels: fallNames, Code: fall}}, append(terms, "fall")
	}
	if len(of) > d.Specimens {
		m.Random = []lmm.Term{{Name: "specimen", Level: of}}
	}
	return d, d.fit(v, m, terms)
}

func (d *Dose) fit(v lmm.Variables, m lmm.Model, terms []string) error {
	design, err := v.Design(terms...)
	if err != nil {
		return refused(err)
	}
	m.X, m.Names = design.X, design.Names
	fit, err := lmm.New(m, lmm.REML)
	if err != nil {
		return refused(err)
	}
	slope, err := design.Slope("uptake", nil)
	if err != nil {
		return refused(err)
	}
	dry, err := design.Row(nil, map[string]float64{"uptake": 0})
	if err != nil {
		return refused(err)
	}
	set, err := fit.Contrasts([][]float64{slope, dry}, lmm.KenwardRoger)
	if err != nil {
		return refused(err)
	}
	b, a := set.Each[0], set.Each[1]
	d.Slope, d.AtZero, d.DF, d.P = contrastEstimate(b), contrastEstimate(a), b.DF, b.P
	d.PerTenth = Estimate{d.Slope.Value / 10, d.Slope.SE / 10, d.Slope.Lower / 10, d.Slope.Upper / 10}
	d.Residual = math.Sqrt(fit.ResidualVariance)
	if len(fit.Components) > 0 {
		d.Between = math.Sqrt(fit.Components[0].Covariance[0][0])
	}
	return nil
}

func contrastEstimate(c lmm.Contrast) Estimate {
	low, high := c.Interval(Level)
	return Estimate{c.Estimate, c.SE, low, high}
}

// refused makes a refusal of the mathematics one of this package.
func refused(err error) error {
	return problem.New(problem.TooFew, "dose", "these readings do not hold the line: %v", err)
}
