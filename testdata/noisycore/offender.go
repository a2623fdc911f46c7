// Package noisycore is a planted offender: core code that reads the clock, draws
// by chance, touches files and speaks, under other names where it can. The test
// must see each line marked so, and no other.
package noisycore

import (
	"fmt"
	"math/rand/v2"
	files "os"
	"time"
	clock "time"
)

func offends() {
	_ = time.Now()                          // offence
	_ = clock.Since(time.Time{})            // offence
	now := clock.Now                        // offence
	_ = time.Until(now())                   // offence
	time.Sleep(0)                           // offence
	_ = rand.N(3)                           // offence
	_ = rand.IntN(3)                        // offence
	_ = rand.Float64()                      // offence
	rand.Shuffle(0, func(_, _ int) {})      // offence
	_, _ = files.ReadFile("x")              // offence
	_ = files.Args                          // offence
	fmt.Println("x")                        // offence
	fmt.Printf("x")                         // offence
	println("x")                            // offence
	_ = fmt.Sprintf("time.Now()")           // text
	_ = rand.New(rand.NewPCG(1, 2)).IntN(3) // a seed that is given
	_ = 3 * time.Second
	var time struct{ Now func() int } // another time
	_ = time.Now
}
