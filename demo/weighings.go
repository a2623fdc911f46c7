package demo

import (
	"math"
	"time"

	"fallwright.example/campaign"
)

// States of a weighed specimen, as the club writes them.
const (
	WeighedDry    = "dry"
	WeighedSoaked = "soaked 5 min, drained 2 min"
)

// Weighing is one mass of a specimen.
type Weighing struct {
	Specimen string
	State    string
	Mass     float64       // kg, to the 0.1 g of the club's scale
	At       time.Duration // since the study's first release; negative is before
}

// Weighings are the masses of the study in the order of time: each specimen dry
// before anything was done to it, and the soaked ones as they went to the
// tower.
func Weighings(seed uint64) []Weighing {
	draw := stream(seed, massStream)
	var out []Weighing
	dry := map[string]float64{}
	for i, s := range specimens() {
		perLength := massPerLength
		if s.Lot == Samphire {
			perLength = massPerLengthTreated
		}
		dry[s.Label] = perLength * cut * (1 + massScatter*draw.NormFloat64())
		out = append(out, Weighing{s.Label, WeighedDry, onScale(dry[s.Label]), eveningBefore + time.Duration(i)*everyWeighing})
	}
	for _, r := range timetable(seed) {
		if r.Kind != campaign.Fall || r.Fall != 1 || r.VoidReason != "" || r.piece.water != Soaked {
			continue
		}
		share := uptake
		if r.piece.Lot == Samphire {
			share = uptakeTreated
		}
		wet := dry[r.Specimen] * (1 + share + uptakeScatter*draw.NormFloat64())
		out = append(out, Weighing{r.Specimen, WeighedSoaked, onScale(wet), r.At - beforeFall})
	}
	return out
}

// onScale is a mass as the scale shows it.
func onScale(mass float64) float64 { return math.Round(mass/scale) / 10000 }
