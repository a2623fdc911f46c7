package demo

import "time"

// All numbers of this file are invented. They were chosen so that the study has
// something to find and something it cannot settle; TestEffects prints and
// holds what comes of them. They say nothing about any rope.

// The new, dry, untreated rope: its modulus against a sudden strain, what share
// of that relaxes, how fast, and how much it stiffens.
const (
	modulus    = 14200 // N
	share      = 0.65  // of modulus, in the Maxwell branch
	relaxation = 0.12  // s
	growth     = 2.0   // see rope.Stiffening
)

// What water and falls do, as factors on modulus and on share. A fifth fall's
// effect is reached in steps that get smaller; see settled.
const (
	fallsStiffen = 1.25 // modulus at the fifth fall, dry
	fallsLoosen  = 0.95 // share at the fifth fall, dry

	soakedFirst  = 0.95 // modulus, first fall
	soakedFifth  = 1.20 // modulus on top of the dry fifth fall
	soakedLoosen = 0.94 // share, all falls: water lets the fibres slip

	driedStiffen = 1.078 // modulus, all falls

	treatmentStiffen = 1.014 // modulus, treated lot
	treatmentSpares  = 0.80  // power of the soaking's factor on modulus that is left, treated lot
)

// Scatter, as standard deviations of the logarithm of modulus. A peak moves by
// 0.4 of that.
const (
	specimenScatter = 0.030
	fallScatter     = 0.020
)

// The rig: friction of the guide, and the cell with its logger, whose zero
// wanders from specimen to specimen.
const (
	guideFriction = 4.0   // N
	cellNoise     = 12.0  // N rms
	cellOffset    = -35.0 // N
	cellDrift     = 2.5   // N, standard deviation of one specimen's step
	cellRange     = 20000.0
	cellBits      = 16
	sampleRate    = 2000.0 // Hz
	preTrigger    = 0.25   // s
	afterContact  = 3.75   // s
)

// The reference rope of the check drops is worn in and keeps to itself.
const (
	referenceModulus = 17000.0 // N
	referenceShare   = 0.60
	referenceScatter = 0.006
)

// Mass per length in kg/m and uptake as shares of the dry mass; invented, like
// all of it.
const (
	massPerLength        = 0.0620
	massPerLengthTreated = 0.0630
	massScatter          = 0.006 // of the mass: cutting and rope together
	uptake               = 0.40
	uptakeTreated        = 0.23
	uptakeScatter        = 0.015
	scale                = 0.0001 // kg, what the club's scale shows
)

// The soaking series on the day after the last: where it ends, how fast, and what
// weighing a dripping rope is worth.
const (
	soakEnd       = 0.40
	untreatedPace = 0.28 // min
	treatedPace   = 6.3  // min
	treatedBend   = 0.70
	soakScatter   = 0.02
	paceScatter   = 0.06
	blotting      = 0.0008 // kg
	residue       = 0.0002 // kg
	soakingDay    = 73 * time.Hour
	betweenSoaks  = 40 * time.Minute
	betweenBaths  = 90 * time.Second
	onTheLine     = 46 * time.Hour
)

var soakTimes = []time.Duration{20 * time.Second, 40 * time.Second, time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute}

// Diameters under 10 kg and pulls through two devices, dry and after the series.
const (
	nominal        = 0.0096  // m
	overNominal    = 0.00008 // m that the new rope gauges above what it is sold as
	swelling       = 0.032   // of the diameter, untreated
	swellingSpares = 0.60    // of it, treated
	gaugeScatter   = 0.00004 // m, between readings
	pieceScatter   = 0.00005 // m, between specimens
	wetLonger      = 0.009   // of the length
	pullHeld       = 30.0    // N
	pullSpeed      = 0.20    // m/s
	pullWet        = 1.24    // of the force dry
	pullTreated    = 0.91
	pullScatter    = 0.03
)

var pullDevices = []struct {
	name  string
	force float64 // N, dry, untreated
}{{"tube", 82}, {"plate", 104}}

// The days at the tower: when each half-day begins, counted from the study's
// first release, and how long things take.
var halfDays = []time.Duration{0, 4*time.Hour + 30*time.Minute, 24 * time.Hour}

const (
	betweenTrials = 10 * time.Minute
	afterCheck    = 15 * time.Minute
	rest          = 3 * time.Minute
	changeover    = 9 * time.Minute // from a last fall to the next specimen's first
	secondTry     = 150 * time.Second
)

// What went wrong, by specimen and fall.
const (
	hungUpOn, hungUpFall       = "S-06", 1
	lostOn, lostFall           = "S-05", 3
	overranOn, overranFall     = "M-07", 3
	overran                    = 112 * time.Second
	hungUpReason, hungUpLoaded = "the mass hung up in the release, the rope was not loaded", false
	lostReason, lostLoaded     = "the logger was not armed, the trace is lost; the rope was loaded", true
)

// The weighings start the evening before the first release, one specimen every
// three minutes, and a soaked specimen is weighed on its way to the tower.
const (
	eveningBefore = -14 * time.Hour
	everyWeighing = 3 * time.Minute
	beforeFall    = 3 * time.Minute
)
