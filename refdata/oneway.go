// Package refdata holds published data sets with the results that a right
// computation gives, typed as our own tables. Only tests read it. Where each
// comes from stands in SOURCES.md.
package refdata

import "fmt"

// OneWay is groups of values with their one-way analysis of variance as
// published. A result that the publication does not give is 0.
type OneWay struct {
	Name       string
	Groups     [][]float64
	SSBetween  float64
	SSWithin   float64
	F          float64
	RSquared   float64
	ResidualSD float64
}

// NISTOneWay returns the eleven one-way data sets of [NISTSRD140] with their
// certified values, 15 digits each.
func NISTOneWay() []OneWay {
	sets := []OneWay{siRstv(), atmWtAg()}
	for i := range 9 {
		sets = append(sets, smLs(i+1))
	}
	return sets
}

// siRstv is the resistance of silicon wafers by five instruments, ohm cm.
func siRstv() OneWay {
	return OneWay{
		Name: "SiRstv",
		Groups: [][]float64{
			{196.3052, 196.1240, 196.1890, 196.2569, 196.3403},
			{196.3042, 196.3825, 196.1669, 196.3257, 196.0422},
			{196.1303, 196.2005, 196.2889, 196.0343, 196.1811},
			{196.2795, 196.1748, 196.1494, 196.1485, 195.9885},
			{196.2119, 196.1051, 196.1850, 196.0052, 196.2090},
		},
		SSBetween: 5.11462616000000e-02, SSWithin: 2.16636560000000e-01,
		F: 1.18046237440255, RSquared: 0.190999039051129, ResidualSD: 0.104076068334656,
	}
}

// atmWtAg is the atomic weight of silver by two instruments.
func atmWtAg() OneWay {
	// In units of 1e-7 above 107.868; whole numbers over a power of ten come
	// out as the float64 nearest to the printed decimal.
	last := [][]float64{
		{
			1568, 1465, 1572, 1785, 1446, 1903, 1526, 1494, 1616, 1587, 1519, 1486,
			1419, 1569, 1508, 1672, 1385, 1518, 1662, 1424, 1360, 1333, 1610, 1477,
		},
		{
			1079, 1344, 1513, 1197, 1604, 1385, 1642, 1365, 1151, 1082, 1517, 1448,
			1198, 1482, 1334, 1609, 1101, 1512, 1469, 1360, 1254, 1261, 1450, 1368,
		},
	}
	for _, g := range last {
		for i := range g {
			g[i] = (1078680000 + g[i]) / 1e7
		}
	}
	return OneWay{
		Name: "AtmWtAg", Groups: last,
		SSBetween: 3.63834187500000e-09, SSWithin: 1.04951729166667e-08,
		F: 15.9467335677930, RSquared: 0.257426544538321, ResidualSD: 1.51048314446410e-05,
	}
}

// smLs is one of the nine simulated sets: nine treatments whose first value is
// the offset and some tenths, followed by values a tenth below and above it in
// turn. Sets 1 to 3, 4 to 6 and 7 to 9 have offsets 1, 1e6 and 1e12, and 21,
// 201 and 2001 values a treatment.
func smLs(number int) OneWay {
	offset := []float64{1, 1e6, 1e12}[(number-1)/3]
	values := []int{21, 201, 2001}[(number-1)%3]
	set := OneWay{Name: fmt.Sprintf("SmLs0%d", number), ResidualSD: 0.1}
	for _, tenths := range []float64{4, 3, 5, 3, 5, 3, 5, 3, 5} {
		g := make([]float64, values)
		g[0] = (10*offset + tenths) / 10
		for i := 1; i < values; i++ {
			step := float64(i%2)*-2 + 1 // −1 for odd places, +1 for even
			g[i] = (10*offset + tenths + step) / 10
		}
		set.Groups = append(set.Groups, g)
	}
	switch values {
	case 21:
		set.SSBetween, set.SSWithin, set.F, set.RSquared = 1.68, 1.8, 21, 0.482758620689655
	case 201:
		set.SSBetween, set.SSWithin, set.F, set.RSquared = 16.08, 18, 201, 0.471830985915493
	case 2001:
		set.SSBetween, set.SSWithin, set.F, set.RSquared = 160.08, 180, 2001, 0.470712773465067
	}
	return set
}
