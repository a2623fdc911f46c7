package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/fall"
	"fallwright.example/rope"
)

// Drop is one release as the club wrote it down, with the file of its logger.
type Drop struct {
	Kind       campaign.Kind
	Specimen   string // label; empty for trials and checks, whose Note says what hung there
	Fall       int    // from 1; 0 for trials and checks
	Setting    string
	At         time.Duration // since the study's first release
	VoidReason string        // empty when the drop is not void
	VoidLoaded bool
	Note       string
	TraceName  string // file name; empty when there is no trace
	CSV        []byte // header "time [s],force [kN]", one line a sample
}

// Traces makes the drops of the study in the order they were released: two
// trials, a check in each of three half-days, and the falls. Of the 90 falls
// planned one was lost after its rope was loaded and one had to be released
// twice, so that 91 releases of falls leave 89 that count.
//
// All of it takes about 0.25 s on one core (BenchmarkTraces).
func Traces(seed uint64) []Drop {
	lab := newLab(seed)
	var out []Drop
	trials, checks := 0, 0
	for _, r := range timetable(seed) {
		d := r.Drop
		switch d.Kind {
		case campaign.Trial:
			trials++
			d.TraceName = fmt.Sprintf("trial-%d.csv", trials)
			lot := []string{Marram, Samphire}[trials-1]
			d.CSV = lab.trace(scattered(law(lot, Dry, 1), lab.ropes, specimenScatter))
		case campaign.Check:
			checks++
			d.TraceName = fmt.Sprintf("check-%d.csv", checks)
			d.CSV = lab.trace(scattered(material(referenceModulus, referenceShare), lab.ropes, referenceScatter))
		case campaign.Fall:
			if d.VoidReason == "" {
				d.TraceName = fmt.Sprintf("%s-fall-%d.csv", d.Specimen, d.Fall)
				d.CSV = lab.trace(lab.worn(r))
			}
		}
		out = append(out, d)
	}
	return out
}

// lab is what the traces of a study share: the draws for ropes and cell, each
// specimen's own scatter, and where the cell's zero has wandered to.
type lab struct {
	ropes, cell *rand.Rand
	own         map[string]float64 // factor on modulus, by specimen
	zero        float64            // N
}

func newLab(seed uint64) *lab {
	return &lab{
		ropes: stream(seed, ropeStream), cell: stream(seed, cellStream),
		own: map[string]float64{}, zero: cellOffset,
	}
}

// worn is the rope of a fall: its lot, water and fall number, its specimen's
// scatter and the fall's own. A specimen's first fall also moves the cell's zero.
func (l *lab) worn(r release) rope.Stiffening {
	own, met := l.own[r.Specimen]
	if !met {
		own = math.Exp(specimenScatter * l.ropes.NormFloat64())
		l.own[r.Specimen] = own
		l.zero += cellDrift * l.cell.NormFloat64()
	}
	out := scattered(law(r.piece.Lot, r.piece.water, r.Fall), l.ropes, fallScatter)
	out.Equilibrium *= own
	out.Branch *= own
	return out
}

// trace drops the mass on a rope and returns the logger's file. The contact
// falls anywhere between two samples.
//
// A refusal here would be a fault of this package's constants, not of anything
// a user gave; hence the panics.
func (l *lab) trace(law rope.Law) []byte {
	run, err := tower(law).Simulate(fall.Watch{
		FromContact: true, Until: afterContact, Rate: sampleRate, First: l.cell.Float64() / sampleRate,
	})
	if err != nil {
		panic("demo: " + err.Error())
	}
	logger := fall.Logger{
		PreTrigger: preTrigger, Offset: l.zero, Noise: cellNoise, FullScale: cellRange, Bits: cellBits,
	}
	force, err := logger.Record(run.Force, sampleRate, l.cell.Uint64())
	if err != nil {
		panic("demo: " + err.Error())
	}
	return table(force)
}

// table writes force in kN against time in s.
func table(force []float64) []byte {
	out := make([]byte, 0, 24+17*len(force))
	out = append(out, "time [s],force [kN]\n"...)
	for i, f := range force {
		out = strconv.AppendFloat(out, float64(i)/sampleRate, 'f', 4, 64)
		out = append(out, ',')
		out = strconv.AppendFloat(out, f/1000, 'f', 5, 64)
		out = append(out, '\n')
	}
	return out
}
