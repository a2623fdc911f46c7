package fall_test

import (
	"math"
	"math/rand/v2"
	"syscall"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// anyTower is a tower drawn from those that somebody may build, on one of the
// laws in turn.
func anyTower(draw *rand.Rand, i int) fall.Tower {
	between := func(low, high float64) float64 { return low + (high-low)*draw.Float64() }
	stiffening := rope.Stiffening{
		Equilibrium: between(4000, 15000), Growth: between(0, 8),
		Branch: between(2000, 20000), Relaxation: between(0.03, 0.5),
	}
	sliding := rope.Sliding{Stiffening: stiffening, Contact: between(20000, 60000), Ease: between(5, 60), Friction: between(0.05, 0.5)}
	laws := []rope.Law{
		rope.Linear{Modulus: between(5000, 30000)},
		rope.KelvinVoigt{Modulus: between(8000, 30000), Viscosity: between(100, 1500)},
		rope.Zener{Equilibrium: stiffening.Equilibrium, Branch: stiffening.Branch, Relaxation: stiffening.Relaxation},
		stiffening, sliding,
		rope.Knotted{Law: sliding, Slip: between(0.02, 0.08), Force: between(500, 3000), Delay: between(0.005, 0.03)},
	}
	return fall.Tower{
		Mass: between(50, 100), Drop: between(0.3, 5), Friction: between(0, 40), Gravity: fall.StandardGravity,
		Rope: rope.Piece{Law: laws[i%len(laws)], Length: between(1.5, 4)},
	}
}

// A coarser accuracy keeps to what Watch says of it, on 300 towers; energies as
// shares of the energy that went in.
func TestAccuracy(t *testing.T) {
	draw := rand.New(rand.NewPCG(11, 5))
	var s fall.Simulator
	most, checked := map[string]float64{}, 0
	for i := range 300 {
		w := anyTower(draw, i)
		fine := mustRun(t, w, fall.Watch{Until: 3, Rate: 1})
		for _, accuracy := range []float64{1e-3, 1e-6} {
			quick, err := s.Simulate(w, fall.Watch{Until: 20, Accuracy: accuracy})
			if err != nil {
				t.Fatal(i, accuracy, w.Rope.Law, w, err)
			}
			out := map[string]float64{
				"peak":    quick.Peak/fine.Peak - 1,
				"stretch": quick.MaxStretch/fine.MaxStretch - 1,
				"in":      quick.EnergyIn/fine.EnergyIn - 1,
			}
			if !math.IsNaN(fine.ReboundSpeed) {
				out["absorbed"] = (quick.EnergyAbsorbed - fine.EnergyAbsorbed) / fine.EnergyIn
				out["rebound"] = (quick.ReboundSpeed - fine.ReboundSpeed) / fine.ImpactSpeed
				out["contact"] = (quick.Contacts[0].End-quick.Contacts[0].Start)/(fine.Contacts[0].End-fine.Contacts[0].Start) - 1
			}
			for what, by := range out {
				switch what {
				case "rebound", "contact":
					by /= 10 // where the force is nearly flat when it passes zero
				case "absorbed":
					by /= 3
				}
				if _, kinked := w.Rope.Law.(rope.Knotted); kinked {
					by /= 3
				}
				most[what] = max(most[what], math.Abs(by)/accuracy)
				if !(math.Abs(by) <= accuracy) {
					t.Errorf("tower %d, accuracy %g: %s out by %.2g", i, accuracy, what, by)
				}
				checked++
			}
		}
	}
	t.Logf("most %v", most)
	if checked < 3000 {
		t.Fatalf("checked %d", checked)
	}
}

// What comes after the first contact of a fall without samples is coarser: start
// and peak of the second are good to 5e-3.
func TestBouncesOfAQuickFall(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 8))
	checked := 0
	for i := range 120 {
		w := anyTower(draw, i)
		fine := mustRun(t, w, fall.Watch{Until: 4, Rate: 1})
		quick := mustRun(t, w, fall.Watch{Until: 20, Accuracy: 1e-6})
		if len(fine.Contacts) < 2 || fine.Contacts[1].Open {
			continue
		}
		a, b := quick.Contacts[1], fine.Contacts[1]
		if out := max(math.Abs(a.Start/b.Start-1), math.Abs(a.Peak/b.Peak-1)); !(out < 5e-3) {
			t.Errorf("tower %d, %T: second contact from %.5g s to %.5g N, want %.5g and %.5g", i, w.Rope.Law, a.Start, a.Peak, b.Start, b.Peak)
		}
		checked++
	}
	if checked < 40 {
		t.Fatalf("checked %d", checked)
	}
}

// A simulator that has followed other falls gives what a new one gives, digit for
// digit, and so does a copy of it.
func TestSimulatorForgets(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 1))
	var used fall.Simulator
	for i := range 36 {
		w, watch := anyTower(draw, i), fall.Watch{Until: 3, Accuracy: 1e-5}
		other := used
		for name, s := range map[string]*fall.Simulator{"used": &used, "copied": &other} {
			fresh, err := new(fall.Simulator).Simulate(w, watch)
			if err != nil {
				t.Fatal(err)
			}
			again, err := s.Simulate(w, watch)
			if err != nil {
				t.Fatal(err)
			}
			if again.Peak != fresh.Peak || again.EnergyIn != fresh.EnergyIn || len(again.Contacts) != len(fresh.Contacts) {
				t.Errorf("tower %d, %s: peak %.17g, want %.17g", i, name, again.Peak, fresh.Peak)
			}
		}
	}
}

// Question: how long is one fall to rest, when thousands are wanted?
func BenchmarkToRest(b *testing.B) {
	w := fall.Tower{Mass: 80, Drop: 1.42, Friction: 4, Gravity: fall.StandardGravity, Rope: rope.Piece{Length: 2.6}}
	for name, law := range map[string]rope.Law{
		"stiffening": rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 6000, Relaxation: 0.12},
		"sliding":    sliding,
	} {
		w.Rope.Law = law
		b.Run(name, func(b *testing.B) {
			var s fall.Simulator
			b.ReportAllocs()
			begun := processor(b)
			for b.Loop() {
				if run, err := s.Simulate(w, fall.Watch{Until: 20, Accuracy: 1e-6}); err != nil || math.IsNaN(run.RestAt) {
					b.Fatal(run, err)
				}
			}
			b.ReportMetric((processor(b)-begun)/float64(b.N), "cpu-µs/op")
		})
	}
}

// processor is the time in microseconds that this program has had of a
// processor: beside other work the clock says little.
func processor(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec)*1e6 + float64(u.Utime.Usec+u.Stime.Usec)
}

var sliding = rope.Sliding{
	Stiffening: rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 3000, Relaxation: 0.1},
	Contact:    30000, Ease: 20, Friction: 0.25,
}
