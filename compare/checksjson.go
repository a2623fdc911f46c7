package compare

// What the checks hold in JSON: NaN is null, as in the tables.

func (c *Checks) numbers() []field {
	return []field{{"residual_limit", &c.Limit}, {"skewness", &c.Skewness}, {"kurtosis", &c.Kurtosis}, {"normal_p", &c.NormalP}, {"specimen_limit", &c.SpecimenLimit}}
}

// MarshalJSON writes null for a number that is not there.
func (c Checks) MarshalJSON() ([]byte, error) {
	type head Checks
	return encode(head(c), c.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (c *Checks) UnmarshalJSON(b []byte) error {
	type head Checks
	return decode(b, (*head)(c), c.numbers())
}

func (t *Test) numbers() []field {
	return []field{{"statistic", &t.Statistic}, {"df1", &t.DF1}, {"df2", &t.DF2}, {"p", &t.P}}
}

// MarshalJSON writes null for a number that is not there.
func (t Test) MarshalJSON() ([]byte, error) {
	type head Test
	return encode(head(t), t.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (t *Test) UnmarshalJSON(b []byte) error {
	type head Test
	return decode(b, (*head)(t), t.numbers())
}

func (s *ConditionSpread) numbers() []field {
	return []field{{"residual_sd", &s.Residual}, {"specimen_sd", &s.Specimen}}
}

// MarshalJSON writes null for a number that is not there.
func (s ConditionSpread) MarshalJSON() ([]byte, error) {
	type head ConditionSpread
	return encode(head(s), s.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (s *ConditionSpread) UnmarshalJSON(b []byte) error {
	type head ConditionSpread
	return decode(b, (*head)(s), s.numbers())
}

func (r *Residual) numbers() []field {
	return []field{{"fitted", &r.Fitted}, {"residual", &r.Residual}, {"standardised", &r.Standardised}}
}

// MarshalJSON writes null for a number that is not there.
func (r Residual) MarshalJSON() ([]byte, error) {
	type head Residual
	return encode(head(r), r.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (r *Residual) UnmarshalJSON(b []byte) error {
	type head Residual
	return decode(b, (*head)(r), r.numbers())
}

func (i *Influence) numbers() []field {
	return []field{{"effect_sd", &i.Effect}}
}

// MarshalJSON writes null for a number that is not there.
func (i Influence) MarshalJSON() ([]byte, error) {
	type head Influence
	return encode(head(i), i.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (i *Influence) UnmarshalJSON(b []byte) error {
	type head Influence
	return decode(b, (*head)(i), i.numbers())
}

func (c *Change) numbers() []field {
	return []field{{"with", &c.With}, {"without", &c.Without}, {"change_se", &c.InSE}, {"p", &c.P}, {"p_without", &c.PWithout}}
}

// MarshalJSON writes null for a number that is not there.
func (c Change) MarshalJSON() ([]byte, error) {
	type head Change
	return encode(head(c), c.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (c *Change) UnmarshalJSON(b []byte) error {
	type head Change
	return decode(b, (*head)(c), c.numbers())
}

func (f *FactorTest) numbers() []field {
	return []field{{"f", &f.F}, {"df1", &f.DF1}, {"df2", &f.DF2}, {"p", &f.P}}
}

// MarshalJSON writes null for a number that is not there.
func (f FactorTest) MarshalJSON() ([]byte, error) {
	type head FactorTest
	return encode(head(f), f.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (f *FactorTest) UnmarshalJSON(b []byte) error {
	type head FactorTest
	return decode(b, (*head)(f), f.numbers())
}
