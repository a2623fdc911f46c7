package doe

import (
	"errors"
	"math/big"
	"math/bits"
	"slices"
	"strings"
	"testing"
)

var sea = []Factor{
	{Name: "soak", Levels: []string{"1 h", "24 h"}, Within: &Within{Factor: "water", Levels: []string{"fresh", "salt"}}},
	{Name: "water", Levels: []string{"none", "fresh", "salt"}},
	{Name: "rope", Levels: []string{"plain", "treated"}},
}

// 2 ropes × (1 dry + 2 waters × 2 soaks) = 10, worked out by hand, the nested factor
// standing before its parent.
func TestFullNested(t *testing.T) {
	all, err := Full(sea)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range all {
		if err := Check(sea, c); err != nil {
			t.Errorf("%v: %v", c, err)
		}
		got = append(got, strings.Join(c, "/"))
	}
	want := []string{
		"/none/plain", "/none/treated",
		"1 h/fresh/plain", "1 h/fresh/treated", "1 h/salt/plain", "1 h/salt/treated",
		"24 h/fresh/plain", "24 h/fresh/treated", "24 h/salt/plain", "24 h/salt/treated",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	unused := Unused(sea, []Combination{{"", "none", "plain"}, {"", "none", "treated"}})
	if len(unused["soak"]) != 2 || len(unused["water"]) != 2 || len(unused["rope"]) != 0 {
		t.Errorf("unused: %v", unused)
	}
}

func TestFactorRefusals(t *testing.T) {
	n := 0
	for _, c := range []struct {
		factors []Factor
		pick    Combination
		want    error
		text    string
	}{
		{[]Factor{{Name: "a"}}, nil, ErrRange, "out of range: the factor a has no levels"},
		{[]Factor{{Name: "a", Levels: []string{"x", "x"}}}, nil, ErrRange, `out of range: level 2 of a is "x", levels are to differ`},
		{[]Factor{{Name: "a", Levels: []string{"x"}}, {Name: "a", Levels: []string{"x"}}}, nil, ErrRange, `out of range: factor 2 is called "a", names are to differ`},
		{[]Factor{{Name: "a", Levels: []string{"x"}, Within: &Within{"b", []string{"y"}}}}, nil, ErrNested, "wrongly nested: a belongs to b, which is no factor"},
		{
			[]Factor{{Name: "a", Levels: []string{"x"}, Within: &Within{"b", []string{"z"}}}, {Name: "b", Levels: []string{"y"}}},
			nil, ErrNested, `wrongly nested: a belongs to "z" of b, which has ["y"]`,
		},
		{
			[]Factor{{Name: "a", Levels: []string{"x"}, Within: &Within{"b", []string{"y"}}}, {Name: "b", Levels: []string{"y"}, Within: &Within{"a", []string{"x"}}}},
			nil, ErrNested, "wrongly nested: a belongs to itself by way of b",
		},
		{sea, Combination{"1 h", "none", "plain"}, ErrNested, `wrongly nested: soak belongs to water [fresh salt] only, and is "1 h" at "none"`},
		{sea, Combination{"", "salt", "plain"}, ErrRange, `out of range: "" is no level of soak, which has ["1 h" "24 h"]`},
		{sea, Combination{"", "none"}, ErrRange, "out of range: 2 levels for 3 factors"},
	} {
		_, err := Full(c.factors)
		if c.pick != nil {
			err = Check(c.factors, c.pick)
		}
		n++
		if !errors.Is(err, c.want) || err.Error() != c.text {
			t.Errorf("%v\nwant %s", err, c.text)
		}
	}
	if n < 9 {
		t.Errorf("%d refusals", n)
	}
}

// fraction is a two-level fraction of k factors: the first base factors are full,
// each of the others is the product of those that its generator names, by bits.
func fraction(k, base int, generators []uint) Design {
	d := Design{}
	for i := range k {
		d.Factors = append(d.Factors, Factor{Name: string(rune('A' + i)), Levels: []string{"-", "+"}})
	}
	for run := range uint(1) << base {
		set := run
		for g, word := range generators {
			// The product of signs, a plus being a one bit: with as many minuses as
			// are not in run.
			minus := bits.OnesCount(word &^ run)
			if minus%2 == 0 {
				set |= 1 << (base + g)
			}
		}
		var c Combination
		for i := range k {
			c = append(c, d.Factors[i].Levels[set>>i&1])
		}
		d.Picked = append(d.Picked, c)
	}
	return d
}

func termOf(word uint) Term {
	var t Term
	for i := range 8 {
		if word>>i&1 == 1 {
			t = append(t, string(rune('A'+i)))
		}
	}
	return t
}

// contrast is the effect of a word: plus half the cells less the other half.
func contrast(d Design, word uint) Contrast {
	full, _ := Full(d.Factors)
	c := Contrast{Name: termOf(word).String()}
	for _, of := range full {
		sign := int64(1)
		for i := range of {
			if word>>i&1 == 1 && of[i] == "-" {
				sign = -sign
			}
		}
		c.Of, c.Weight = append(c.Of, of), append(c.Weight, big.NewRat(sign, int64(len(full)/2)))
	}
	return c
}

// Aliases of fractions of two-level factorials against the algebra of words
// ([BoxHunter1961]): with the generators multiplied out to all defining words, an
// effect is aliased with its products with each of them and with nothing else. The
// designs are the usual ones; 2^(5−2) with D = AB, E = AC is in every textbook.
func TestAliasesAreProductsOfWords(t *testing.T) {
	looked, aliased := 0, 0
	for _, c := range []struct {
		k, base    int
		generators []uint
	}{{3, 2, []uint{0b11}}, {4, 3, []uint{0b111}}, {5, 3, []uint{0b011, 0b101}}, {5, 4, []uint{0b1111}}, {4, 4, nil}} {
		d := fraction(c.k, c.base, c.generators)
		defining := map[uint]bool{}
		for choice := range uint(1) << len(c.generators) {
			word := uint(0)
			for g, gen := range c.generators {
				if choice>>g&1 == 1 {
					word ^= gen | 1<<(c.base+g)
				}
			}
			defining[word] = true
		}
		for word := uint(1); word < 1<<c.k; word++ {
			if bits.OnesCount(word) > 2 || defining[word] {
				continue
			}
			for other := uint(1); other < 1<<c.k; other++ {
				if other == word || bits.OnesCount(other) > 3 || defining[other] {
					continue
				}
				looked++
				// The model has the effect; the candidate's own lower terms, which its
				// indicators hold too, must not be aliased with the effect themselves.
				lower := false
				for sub := uint(1); sub < 1<<c.k; sub++ {
					lower = lower || sub&other == sub && sub != other && sub != word && defining[word^sub]
				}
				if lower {
					continue
				}
				got, err := d.Aliases([]Term{termOf(word)}, []Term{termOf(other)}, contrast(d, word))
				if err != nil {
					t.Fatal(err)
				}
				want := defining[word^other]
				if want {
					aliased++
				}
				if (len(got) == 1) != want {
					t.Errorf("2^(%d−%d): %v with %v: aliased %v, by words %v", c.k, c.k-c.base, termOf(word), termOf(other), len(got) == 1, want)
				}
			}
		}
	}
	if looked < 300 || aliased < 25 {
		t.Errorf("%d pairs looked at, %d of them aliased", looked, aliased)
	}
}

// What a choice of conditions can answer, by hand: with one rope dry only, the water
// of that rope has no answer unless ropes and waters add up.
func TestEstimable(t *testing.T) {
	d := Design{Factors: sea, Picked: []Combination{
		{"", "none", "plain"}, {"1 h", "salt", "plain"}, {"24 h", "salt", "plain"}, {"", "none", "treated"},
	}}
	soaked := Between(Combination{"1 h", "salt", "treated"}, Combination{"", "none", "treated"})
	longer := Between(Combination{"24 h", "salt", "treated"}, Combination{"1 h", "salt", "treated"})
	water, err := d.Effect("water", "salt", "fresh")
	if err != nil {
		t.Fatal(err)
	}
	add := []Term{{"water"}, {"soak"}, {"rope"}}
	cells := []Term{{"water"}, {"soak"}, {"rope"}, {"water", "rope"}, {"soak", "rope"}, {"water", "soak", "rope"}}
	for _, c := range []struct {
		terms []Term
		of    Contrast
		want  bool
	}{
		{add, soaked, true},
		{cells, soaked, false},
		{add, longer, true},
		{cells, longer, false},
		{cells, Between(d.Picked[1], d.Picked[0]), true},
		{add, water, false}, // no fresh water was picked
		{[]Term{{"water"}}, Between(d.Picked[3], d.Picked[0]), true},
	} {
		got, err := d.Estimable(c.terms, c.of)
		if err != nil || got != c.want {
			t.Errorf("%s with %v: %v, %v; want %v", c.of.Name, c.terms, got, err, c.want)
		}
	}
	// A term of a nested factor says nothing where it has no level: without a term for
	// the rope both dry ropes are the mean, though neither was picked.
	wet := Design{Factors: sea, Picked: d.Picked[1:2]}
	if got, err := wet.Estimable([]Term{{"soak", "rope"}}, Between(d.Picked[3], d.Picked[0])); err != nil || !got {
		t.Errorf("dry ropes without a term for the rope: %v, %v", got, err)
	}
	if _, err := d.Aliases(cells, nil, soaked); !errors.Is(err, ErrRange) {
		t.Errorf("aliases of what has no answer: %v", err)
	}
	if _, err := d.Estimable([]Term{{"colour"}}, soaked); !errors.Is(err, ErrRange) {
		t.Errorf("a term of no factor: %v", err)
	}
}
