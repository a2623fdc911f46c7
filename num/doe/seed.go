package doe

import (
	"math/big"
	"math/rand/v2"
)

// Below draws a whole number from 0 to n − 1, each as likely as any other.
//
// The generator is PCG-DXSM with 128 bits of state [ONeill2014], as math/rand/v2
// has it, started from seed and 0x9e3779b97f4a7c15. As many words of 64 bits as n
// has are taken from it, the first the most significant, the bits beyond those of
// n are cleared from the first, and all are taken anew while the number is not
// below n. Anybody can repeat it from these lines.
func Below(n *big.Int, seed uint64) *big.Int {
	return below(n, rand.NewPCG(seed, stream))
}

// SeedOf is the n-th seed, from 1, that comes from one seed where several draws are
// to be made: the n-th word of PCG-DXSM started from seed and 0xd1b54a32d192ed03.
func SeedOf(seed uint64, n int) uint64 {
	source := rand.NewPCG(seed, 0xd1b54a32d192ed03)
	for range n - 1 {
		source.Uint64()
	}
	return source.Uint64()
}

// Mixed is a seed of its own for the k-th of several families of draws that come from
// one seed: the first word of PCG-DXSM started from seed and k.
func Mixed(seed, k uint64) uint64 { return rand.NewPCG(seed, k).Uint64() }

const stream = 0x9e3779b97f4a7c15

func below(n *big.Int, source *rand.PCG) *big.Int {
	bits := n.BitLen()
	words := (bits + 63) / 64
	for {
		x := new(big.Int)
		for i := range words {
			w := source.Uint64()
			if spare := uint(words*64 - bits); i == 0 {
				w = w << spare >> spare
			}
			x.Lsh(x, 64).Or(x, new(big.Int).SetUint64(w))
		}
		if x.Cmp(n) < 0 {
			return x
		}
	}
}
