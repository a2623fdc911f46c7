package demo

import (
	"math"
	"time"

	"fallwright.example/campaign"
)

// States of a weighed specimen, as the club writes them; those of the soaking series
// follow from their times.
const (
	WeighedDry    = "dry"
	WeighedSoaked = "soaked 5 min, drained 2 min"
)

// Weighing is one mass of a specimen.
type Weighing struct {
	Specimen string
	Of       campaign.WeighedAs
	Soak     time.Duration // under water before
	Hung     time.Duration // hung to drain or dry before, where it is not the protocol's
	State    string
	Mass     float64       // kg, to the 0.1 g of the club's scale
	At       time.Duration // since the study's first release; negative is before
}

// Weighings are the masses of the study in the order of time: each specimen dry
// before anything was done to it, the soaked ones as they went to the tower, and
// the same again in a soaking series when the drops were over.
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
		out = append(out, Weighing{
			Specimen: s.Label, Of: campaign.DryMassOf, State: WeighedDry, Mass: onScale(dry[s.Label]),
			At: eveningBefore + time.Duration(i)*everyWeighing,
		})
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
		out = append(out, Weighing{
			Specimen: r.Specimen, Of: campaign.Drained, Soak: 5 * time.Minute, Hung: 2 * time.Minute, State: WeighedSoaked,
			Mass: onScale(wet), At: r.At - beforeFall,
		})
	}
	return append(out, soaking(seed, dry)...)
}

// soaking is the series: what was soaked for its drops is weighed after two days on
// the line, and then again and again under water.
func soaking(seed uint64, dry map[string]float64) (out []Weighing) {
	draw := stream(seed, soakStream)
	place := 0
	for _, s := range specimens() {
		if s.water != Soaked {
			continue
		}
		begun := soakingDay + time.Duration(place)*betweenSoaks
		place++
		left := dry[s.Label] + residue*draw.NormFloat64()
		out = append(out, Weighing{Specimen: s.Label, Of: campaign.Dried, Hung: onTheLine, Mass: onScale(left), At: begun})
		end, pace := soakEnd*(1+soakScatter*draw.NormFloat64()), 1+paceScatter*draw.NormFloat64()
		for k, t := range soakTimes {
			share := end * taken(s.Lot, t.Minutes()/pace)
			mass := dry[s.Label]*(1+share) + blotting*draw.NormFloat64()
			out = append(out, Weighing{
				Specimen: s.Label, Of: campaign.Soaked, Soak: t, Mass: onScale(mass),
				At: begun + time.Minute + t + time.Duration(k)*betweenBaths,
			})
		}
	}
	return out
}

// taken is the share of the end that a lot has taken up after so many minutes: the
// untreated one within the first minute, the treated one slower and slower.
func taken(lot string, minutes float64) float64 {
	if lot == Samphire {
		return 1 - math.Exp(-math.Pow(minutes/treatedPace, treatedBend))
	}
	return 1 - math.Exp(-minutes/untreatedPace)
}

// onScale is a mass as the scale shows it.
func onScale(mass float64) float64 { return math.Round(mass/scale) / 10000 }
