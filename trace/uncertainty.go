package trace

// Uncertainties are those of a reading's values, by their JSON key.
type Uncertainties map[string]Uncertainty

// Uncertainty is what is known of one value's error (JCGM 100). Bias is an
// error whose size is known, such as the lift of a peak by noise: the value
// stays as it was taken, and the interval is about value − Bias.
type Uncertainty struct {
	Standard float64 `json:"standard"` // u, k = 1
	Bias     float64 `json:"bias"`     // in the value's unit
	Lower    float64 `json:"lower"`    // 95 % coverage interval
	Upper    float64 `json:"upper"`
	Freedom  float64 `json:"degrees_of_freedom"` // effective, Welch-Satterthwaite; 0 for infinite
	Budget   []Share `json:"budget"`             // largest first
	Trials   int     `json:"trials,omitempty"`   // of the Monte Carlo propagation that gave it; 0 for the law of propagation
}

// Share is one source's part in a standard uncertainty.
type Share struct {
	Source      string  `json:"source"` // "cell", "tare", "noise", "filter", "sampling", "mass", "drop", "gravity", "integration", "edge", "resolution"
	Input       float64 `json:"input"`  // standard uncertainty of the source, in InputUnit
	InputUnit   string  `json:"input_unit"`
	Sensitivity float64 `json:"sensitivity"` // value's unit per InputUnit
	Part        float64 `json:"part"`        // |Sensitivity|·Input
}
