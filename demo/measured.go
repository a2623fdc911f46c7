package demo

import (
	"math"
	"time"

	"fallwright.example/campaign"
)

// Gauging is one specimen under the gauge; its stamp is Since.
type Gauging struct {
	campaign.Gauging
	Since time.Duration // since the study's first release
}

// Pull is one specimen drawn through a device.
type Pull struct {
	campaign.Pull
	Since time.Duration // since the study's first release
}

// measuredState is the state of a rope after the soaking series.
const measuredState = "soaked 15 min"

// Gaugings are those of the soaked specimens, on the evening before the first release
// and at the end of the soaking series.
func Gaugings(seed uint64) (out []Gauging) {
	draw := stream(seed, gaugeStream)
	place := 0
	for _, s := range specimens() {
		if s.water != Soaked {
			continue
		}
		dry := nominal + overNominal + pieceScatter*draw.NormFloat64()
		grows := swelling
		if s.Lot == Samphire {
			grows *= swellingSpares
		}
		for _, wet := range []bool{false, true} {
			g := Gauging{Gauging: campaign.Gauging{Specimen: s.Label, Wet: wet, Load: 10, Contact: 0.05, Length: 1, State: WeighedDry}, Since: eveningBefore + time.Hour + time.Duration(place)*5*time.Minute}
			d := dry
			if wet {
				d *= 1 + grows*(1+0.05*draw.NormFloat64())
				g.State, g.Length = measuredState, rounded(1+wetLonger*(1+0.1*draw.NormFloat64()), 0.001)
				g.Since = soakingDay + time.Duration(place)*betweenSoaks + 30*time.Minute
			}
			for range 3 {
				g.Levels = append(g.Levels, []float64{rounded(d+gaugeScatter*draw.NormFloat64(), 1e-5), rounded(d+1e-4+gaugeScatter*draw.NormFloat64(), 1e-5)})
			}
			if wet {
				shift := rounded(math.Abs(0.002*draw.NormFloat64()), 0.0005)
				g.Sheath = &shift
			}
			out = append(out, g)
		}
		place++
	}
	return out
}

// Pulls are those of the same specimens through two devices, dry before the soaking
// series and wet after it.
func Pulls(seed uint64) (out []Pull) {
	draw := stream(seed, pullStream)
	place := 0
	for _, s := range specimens() {
		if s.water != Soaked {
			continue
		}
		own := 1 + pullScatter*draw.NormFloat64()
		for _, wet := range []bool{false, true} {
			for i, device := range pullDevices {
				force := device.force * own * (1 + pullScatter*draw.NormFloat64())
				at, state := soakingDay+time.Duration(place)*betweenSoaks-time.Duration(5-2*i)*time.Minute, WeighedDry
				if wet {
					force *= pullWet
					at, state = at+40*time.Minute, measuredState
				}
				if s.Lot == Samphire {
					force *= pullTreated
				}
				stick := rounded(0.08*force, 0.1)
				out = append(out, Pull{campaign.Pull{
					Specimen: s.Label, Device: device.name, Wet: wet, State: state, Speed: pullSpeed, Held: pullHeld,
					Mean: rounded(force, 0.1), StickSlip: &stick,
				}, at})
			}
		}
		place++
	}
	return out
}

// rounded is a value as an instrument shows it, to its last step.
func rounded(v, step float64) float64 { return math.Round(v/step) / math.Round(1/step) }
