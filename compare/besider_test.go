package compare

import (
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"strconv"
	"syscall"
	"testing"
	"time"

	"fallwright.example/num/lmm"
)

var readings = flag.String("readings", "", "CSV of specimen, condition, fall and peak to be fitted beside R, with its times")

// The other half of refdata/lmm/speed.R, on the same table; bench/compare_r.sh runs
// both, and stops where the last contrast is not the same.
func TestBesideR(t *testing.T) {
	if *readings == "" {
		t.Skip("no times are taken: give -readings, or run bench/compare_r.sh")
	}
	d := tableBesideR(t)
	a := analysed(t, d, Ask{})
	tables, err := a.comparisons()
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]float64
	for _, c := range tables[0] {
		rows = append(rows, a.kept(lmm.Difference(c.seen, c.other)))
	}
	var set *lmm.Set
	contrasts := func() {
		f, err := lmm.New(a.model.given, lmm.REML)
		if err == nil {
			set, err = f.Contrasts(rows, lmm.KenwardRoger)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	contrasts()
	last := set.Each[len(rows)-1]
	fmt.Printf("contrasts: %d, of which the last %.6f, SE %.6f, df %.4f\n", len(rows), last.Estimate, last.SE, last.DF)
	timed("fit and Kenward-Roger contrasts", 500, contrasts)
	timed("every table of the comparison", 100, func() { analysed(t, d, Ask{}) })
	for workers := 1; workers <= 2; workers++ {
		timed(fmt.Sprintf("1000 refits, %d of the cores", workers), 5, func() {
			b, err := a.model.fit.Bootstrap(1000, 1, workers, func(f *lmm.Fit) []float64 { return f.Beta })
			if err != nil || b.Refused > 0 {
				t.Fatal(b.Refused, err)
			}
		})
	}
}

// timed prints elapsed and processor time of one call.
func timed(what string, times int, call func()) {
	began, used := time.Now(), processor()
	for range times {
		call()
	}
	n := float64(times)
	fmt.Printf("%s: %.6f s, processor %.6f s\n", what, time.Since(began).Seconds()/n, (processor()-used)/n)
}

func processor() float64 {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

func tableBesideR(t *testing.T) (d Data) {
	t.Helper()
	f, err := os.Open(*readings)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		v, err := strconv.ParseFloat(r[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		d.Specimen, d.Condition, d.Fall, d.Value = append(d.Specimen, r[0]), append(d.Condition, r[1]), append(d.Fall, Fall(r[2])), append(d.Value, v)
	}
	return d
}
