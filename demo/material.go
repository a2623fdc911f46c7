package demo

import (
	"math"
	"math/rand/v2"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// settled runs from 0 at the first fall to 1 at the fifth, most of it early.
func settled(n int) float64 {
	const pace = 2.0
	return (1 - math.Exp(-float64(n-1)/pace)) / (1 - math.Exp(-(Falls-1)/pace))
}

// law is the rope of a lot in a state of water at its n-th fall, without
// scatter.
func law(lot, water string, n int) rope.Stiffening {
	stiff := modulus * math.Pow(fallsStiffen, settled(n))
	loose := share * math.Pow(fallsLoosen, settled(n))
	wet := 1.0
	switch water {
	case Soaked:
		later := float64(n-1) / (Falls - 1)
		wet = soakedFirst * math.Pow(soakedFifth/soakedFirst, later)
		loose *= soakedLoosen
	case Dried:
		wet = driedStiffen
	}
	if lot == Samphire {
		stiff *= treatmentStiffen
		if water == Soaked {
			wet = math.Pow(wet, treatmentSpares)
		}
	}
	return material(stiff*wet, loose)
}

func material(stiff, loose float64) rope.Stiffening {
	return rope.Stiffening{
		Equilibrium: stiff * (1 - loose), Growth: growth, Branch: stiff * loose, Relaxation: relaxation,
	}
}

// scattered is the law with all its moduli moved by a draw of the given
// standard deviation of the logarithm.
func scattered(l rope.Stiffening, draw *rand.Rand, deviation float64) rope.Stiffening {
	by := math.Exp(deviation * draw.NormFloat64())
	l.Equilibrium *= by
	l.Branch *= by
	return l
}

// tower is the club's tower with a rope on it, at the standard setting.
func tower(l rope.Law) fall.Tower {
	s := Standard()
	return fall.Tower{
		Mass: s.Mass, Drop: s.Drop, Friction: guideFriction, Gravity: fall.StandardGravity,
		Rope: rope.Piece{Law: l, Length: s.FreeLength},
	}
}
