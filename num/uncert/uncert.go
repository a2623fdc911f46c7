// Package uncert carries the uncertainty of what went into a result over to the
// result: by the law of propagation of uncertainty of [JCGM100], and by drawing
// the inputs and counting, the Monte Carlo method of [JCGM101].
//
// Symbols: x_i ↔ Input.Value, u(x_i) ↔ Input.Standard, ν_i ↔ Input.Freedom,
// f ↔ Model, c_i = ∂f/∂x_i ↔ Share.Sensitivity, y ↔ Result.Value,
// u_c(y) ↔ Result.Standard, ν_eff ↔ Result.Freedom, r(x_i, x_j) ↔ corr[i][j],
// M ↔ trials, p ↔ the coverage probability. Units are those of the values
// given. Refusals wrap one of the errors of this package.
package uncert

import (
	"errors"
	"fmt"
	"math"
)

// The refusals of this package, for errors.Is; the texts say more.
var (
	// ErrNotFinite: an input or a value of the model is no finite number.
	ErrNotFinite = errors.New("not finite")
	// ErrRange: an argument is not what it has to be.
	ErrRange = errors.New("out of range")
	// ErrCorrelation: the correlations cannot all hold at once.
	ErrCorrelation = errors.New("impossible correlation")
	// ErrNotSettled: the trials allowed were not enough for the digits wanted.
	ErrNotSettled = errors.New("not settled")
)

// Model is the result as a function of the inputs, in their order. It must not
// keep or change x.
type Model func(x []float64) float64

// Input is one quantity that the result depends on.
type Input struct {
	Name, Unit string
	Value      float64 // best estimate
	Standard   float64 // standard uncertainty, in Unit; 0 is allowed
	Freedom    float64 // degrees of freedom of Standard, 1 or more; 0 for infinite
	Shape      Shape   // of what is believed about it; the law of propagation does not ask
	Step       float64 // for the difference quotient, in Unit; 0 for StepShare of Standard
}

// Shape is the distribution that stands for the knowledge of an input
// ([JCGM101] 6.4). Each is symmetric about the value.
type Shape int

// The shapes. Standard is the standard deviation of each but Student.
const (
	Normal      Shape = iota
	Student           // t on Freedom, times Standard: for the mean of few readings ([JCGM101] 6.4.9)
	Rectangular       // over ±√3·Standard
	Triangular        // over ±√6·Standard
	Arcsine           // over ±√2·Standard: a quantity that swings like a sine
)

func (in Input) check() error {
	switch {
	case !finite(in.Value):
		return fmt.Errorf("%w: %s is %g", ErrNotFinite, in.Name, in.Value)
	case !finite(in.Standard) || !finite(in.Freedom) || !finite(in.Step):
		return fmt.Errorf("%w: %s has standard uncertainty %g, degrees of freedom %g, step %g", ErrNotFinite, in.Name, in.Standard, in.Freedom, in.Step)
	case in.Standard < 0:
		return fmt.Errorf("%w: %s has standard uncertainty %g, it cannot be negative", ErrRange, in.Name, in.Standard)
	case in.Freedom != 0 && in.Freedom < 1:
		return fmt.Errorf("%w: %s has %g degrees of freedom, it takes 1 or more, or 0 for infinite", ErrRange, in.Name, in.Freedom)
	case in.Step < 0:
		return fmt.Errorf("%w: %s has the step %g, it cannot be negative", ErrRange, in.Name, in.Step)
	case in.Shape < Normal || in.Shape > Arcsine:
		return fmt.Errorf("%w: %s has shape %d, there are shapes %d to %d", ErrRange, in.Name, in.Shape, Normal, Arcsine)
	}
	return nil
}

func check(inputs []Input) error {
	if len(inputs) == 0 {
		return fmt.Errorf("%w: no inputs", ErrRange)
	}
	for _, in := range inputs {
		if err := in.check(); err != nil {
			return err
		}
	}
	return nil
}

func checkProbability(p float64) error {
	if p > 0 && p < 1 {
		return nil
	}
	return fmt.Errorf("%w: coverage probability %g, it lies between 0 and 1", ErrRange, p)
}

func estimates(inputs []Input) []float64 {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		x[i] = in.Value
	}
	return x
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
