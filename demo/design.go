// Package demo makes the demonstration study of fallwright: the Skerry Head
// Climbing Club asks what sea water does to its ropes. Club, ropes, rig and
// every number are invented; the ropes are simulated, on the tower and with the
// laws of packages fall and rope, and no real rope is meant.
//
// Everything follows from a seed: the same seed gives the same bytes.
package demo

import (
	"fmt"
	"math/rand/v2"

	"fallwright.example/campaign"
)

// The two lots and the levels of the factor water.
const (
	Marram   = "Marram 9.6"           // untreated
	Samphire = "Samphire 9.6 treated" // treated against water

	Dry    = "dry"
	Soaked = "soaked" // 5 min in sea water, drained 2 min, dropped wet
	Dried  = "dried"  // soaked and drained the evening before, hung overnight
)

// Falls is how many falls each specimen is to have.
const Falls = 5

// Standard is the one setting of the study.
func Standard() campaign.Setting {
	return campaign.Setting{
		Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.60,
		MassUncertainty: 0.05, DropUncertainty: 0.005,
	}
}

// cut is the length of rope in metres that a specimen is cut from, knots
// included; offCut what is discarded at the rope's end.
const (
	cut    = 3.40
	offCut = 1.00
)

// waters says which specimen of a lot has which water, by its place along the
// rope: each level once in each third, in an order that changes, so that a
// rope which varies along its length does not pass for an effect of water.
var waters = []string{Dry, Soaked, Dried, Soaked, Dried, Dry, Dried, Dry, Soaked}

// specimen is a campaign.Specimen with its water.
type specimen struct {
	campaign.Specimen
	water string
}

func specimens() []specimen {
	var out []specimen
	for _, lot := range []struct{ name, short, letter string }{{Marram, "Marram", "M"}, {Samphire, "Samphire", "S"}} {
		for i, water := range waters {
			from := offCut + float64(i)*cut
			out = append(out, specimen{campaign.Specimen{
				Label:     fmt.Sprintf("%s-%02d", lot.letter, i+1),
				Lot:       lot.name,
				Condition: lot.short + " " + water,
				From:      from,
				To:        from + cut,
				Knots:     "figure of eight, both ends",
			}, water})
		}
	}
	return out
}

// Specimens are the 18 specimens, M-01 to M-09 and S-01 to S-09. Their
// conditions do not depend on the seed.
func Specimens() []campaign.Specimen {
	var out []campaign.Specimen
	for _, s := range specimens() {
		out = append(out, s.Specimen)
	}
	return out
}

// Streams of the seed, one a purpose, so that one does not shift another.
const (
	orderStream = iota + 1
	clockStream
	ropeStream
	cellStream
	massStream
	soakStream
	gaugeStream
	pullStream
)

func stream(seed, purpose uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, purpose)) }

// order puts the specimens into the three half-days in the order they are
// dropped. A half-day has one specimen of each condition, so that what a
// half-day does to the rig touches all conditions alike; which one, and the
// order within the half-day, is drawn.
func order(seed uint64) [][]specimen {
	draw := stream(seed, orderStream)
	byCondition := map[string][]specimen{}
	var names []string
	for _, s := range specimens() {
		if byCondition[s.Condition] == nil {
			names = append(names, s.Condition)
		}
		byCondition[s.Condition] = append(byCondition[s.Condition], s)
	}
	out := make([][]specimen, 3)
	for _, name := range names {
		for half, i := range draw.Perm(len(out)) {
			out[half] = append(out[half], byCondition[name][i])
		}
	}
	for _, half := range out {
		draw.Shuffle(len(half), func(i, j int) { half[i], half[j] = half[j], half[i] })
	}
	return out
}
