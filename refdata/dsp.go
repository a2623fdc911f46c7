package refdata

import (
	_ "embed"
	"encoding/json"
	"fmt"
)

//go:embed dsp/vectors.json
var dspVectors []byte

// DSP is what SciPy and NumPy give for the signals in it, made by
// dsp/make_vectors.py.
type DSP struct {
	MadeWith    string `json:"made_with"`
	Filters     []DSPFilter
	Spectra     []DSPSpectrum
	Derivatives []DSPDerivative
	Lines       []DSPLine
	Tops        []DSPTop
}

// DSPFilter is one signal through scipy.signal.filtfilt. Y has every Stride-th
// sample of the result.
type DSPFilter struct {
	Class    int
	Rate     float64
	Name     string
	Padding  int // asked of filtfilt: that of the class and rate, or one less than the samples
	Stride   int
	SciPyOff float64 `json:"scipy_off"` // of SciPy from extended precision, as a share of the span
	X, Y     []float64
}

// DSPSpectrum is one signal through scipy.signal.welch with a Hann window and
// half overlap; a segment as long as X is its periodogram.
type DSPSpectrum struct {
	Rate               float64
	Segment            int
	Step               float64
	X                  []float64
	Density, Amplitude []float64
}

// DSPDerivative is one signal through scipy.signal.savgol_filter, deriv=1.
type DSPDerivative struct {
	Rate        float64
	Half, Order int
	X, Y        []float64
}

// DSPLine is a sine with offset and slope fitted by numpy.linalg.lstsq.
type DSPLine struct {
	Rate, Frequency            float64
	X                          []float64
	Amplitude, Standard, Noise float64
}

// DSPTop is a parabola fitted by numpy.linalg.lstsq.
type DSPTop struct {
	Half, At             int
	X                    []float64
	Place, Value, Factor float64
}

// DSPVectors returns the stored vectors.
func DSPVectors() (DSP, error) {
	var d DSP
	if err := json.Unmarshal(dspVectors, &d); err != nil {
		return DSP{}, fmt.Errorf("refdata: dsp/vectors.json: %w", err)
	}
	return d, nil
}
