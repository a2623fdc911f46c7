package doe

import (
	"math/big"
	"slices"
	"testing"
)

// The draw as anybody can repeat it. Source: the generator and the rule of Below
// written anew in Python 3 from their description ([ONeill2014]; integers of any
// size, no library), the 12 Latin squares sorted and picked by that number.
func TestGolden(t *testing.T) {
	large := new(big.Int).Exp(big.NewInt(10), big.NewInt(30), nil)
	for seed, want := range map[uint64]string{
		1: "279786660544290649614390357571", 2: "254377196983336837666433386067", 3: "207488519751761384358391564211",
	} {
		if got := Below(large, seed).String(); got != want {
			t.Errorf("below 10^30, seed %d: %s, want %s", seed, got, want)
		}
	}
	var small []int64
	for seed := range uint64(12) {
		small = append(small, Below(big.NewInt(6), seed).Int64())
	}
	if !slices.Equal(small, []int64{4, 3, 0, 2, 5, 5, 5, 1, 4, 5, 1, 1}) {
		t.Errorf("below 6, seeds 0 to 11: %v", small)
	}
	if a, b := SeedOf(1, 1), SeedOf(1, 3); a != 3723029423388587193 || b != 4329748225576035855 {
		t.Errorf("seeds of 1: %d, %d", a, b)
	}
	urn, err := draws[3].d.Urn()
	if err != nil {
		t.Fatal(err)
	}
	for seed, want := range map[uint64][]int{
		1: {2, 1, 0, 1, 0, 2, 0, 2, 1}, 2: {2, 0, 1, 0, 1, 2, 1, 2, 0}, 3: {2, 1, 0, 0, 2, 1, 1, 0, 2}, 2026: {0, 1, 2, 1, 2, 0, 2, 0, 1},
	} {
		if a, err := urn.Draw(seed); err != nil || !slices.Equal(a.Treatment, want) {
			t.Errorf("latin square of seed %d: %v, want %v", seed, a.Treatment, want)
		}
	}
}
