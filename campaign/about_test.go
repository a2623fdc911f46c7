package campaign

import (
	"fmt"
	"slices"
	"testing"

	"fallwright.example/num/doe"
)

// What a question about a factor is refused for is what the algebra of designs calls
// an alias: from the two conditions alone the factor's effect cannot be had once the
// other factor is in the model. Every factor and pair of conditions of a plan with a nested
// factor, its full combinations worked out by num/doe.
func TestAboutAgreesWithAliases(t *testing.T) {
	factors := []doe.Factor{
		{Name: "rope", Levels: []string{"marram", "samphire"}},
		{Name: "water", Levels: []string{"dry", "soaked", "dried"}},
		{Name: "soak", Levels: []string{"10 min", "2 h"}, Within: &doe.Within{Factor: "water", Levels: []string{"soaked", "dried"}}},
		{Name: "edge", Levels: []string{"none", "5 mm"}},
	}
	full, err := doe.Full(factors)
	if err != nil {
		t.Fatal(err)
	}
	p := small()
	p.Factors, p.Conditions = nil, nil
	for _, f := range factors {
		one := Factor{Name: f.Name, Levels: f.Levels}
		if f.Within != nil {
			one.Within = Nest{f.Within.Factor, f.Within.Levels}
		}
		p.Factors = append(p.Factors, one)
	}
	for i, c := range full {
		one := Condition{Name: fmt.Sprint(i), Levels: map[string]string{}, Baseline: i == 0}
		for k, level := range c {
			if level != "" {
				one.Levels[factors[k].Name] = level
			}
		}
		p.Conditions = append(p.Conditions, one)
	}
	answered, refused := 0, 0
	for i, a := range full {
		for j, b := range full {
			for k, f := range factors {
				if a[k] == b[k] || a[k] == "" || b[k] == "" {
					continue
				}
				var others []doe.Term
				for _, o := range factors {
					if o.Name != f.Name && (o.Within == nil || o.Within.Factor != f.Name) {
						others = append(others, doe.Term{o.Name})
					}
				}
				d := doe.Design{Factors: factors, Picked: []doe.Combination{a, b}}
				effect, err := d.Effect(f.Name, a[k], b[k])
				if err != nil {
					t.Fatal(err)
				}
				aliases, err := d.Aliases([]doe.Term{{f.Name}}, others, effect)
				if err != nil {
					t.Fatal(err)
				}
				var want []string
				for _, alias := range aliases {
					want = append(want, alias.String())
				}
				if got := p.apart(p.Conditions[i], p.Conditions[j], f.Name); !slices.Equal(got, want) {
					t.Errorf("%v against %v, about %s: apart in %q, aliases %q", a, b, f.Name, got, want)
				}
				if len(want) == 0 {
					answered++
				} else {
					refused++
				}
			}
		}
	}
	if answered < 50 || refused < 50 {
		t.Errorf("%d answered, %d refused: too few to tell", answered, refused)
	}
	if faults := p.Faults(); slices.ContainsFunc(faults, func(f Fault) bool { return f.Place.Part == ConditionPart || f.Place.Part == FactorPart }) {
		t.Errorf("full combinations are refused: %v", p.Validate())
	}
}
