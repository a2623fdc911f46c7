package study

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"fallwright.example/campaign"
)

// keptFindings is about how much memory findings take.
const keptFindings = 2 << 20

// stateOf names all that findings rest on: the plan, the drops with who and when
// and whether they count, their newest readings, the weighings, and the clock
// that days are counted by. Two states of a study that could give other findings
// have other names.
func stateOf(s *campaign.Study, readings map[string]StoredReading) string {
	h := sha256.New()
	fmt.Fprintf(h, "%q %q\n", s.ID, s.File.SHA256)
	for _, d := range s.Drops {
		fmt.Fprintf(h, "drop %q %s %q %t %q\n", d.ID, d.At.Format(time.RFC3339Nano), d.By, d.Void != nil, readings[d.ID].ID)
	}
	for _, w := range s.Weighings {
		if first, fell := firstFall(s, w.Specimen); fell && !w.IsDry() && !w.At.Before(first) && w.Replaces == "" {
			continue // a soak after its falls has no part in them
		}
		fmt.Fprintf(h, "weighing %q %q %q %q %v %v %q %v\n", w.ID, w.Specimen, w.Of, w.State, w.Mass, w.Soak, w.Replaces, w.At.UnixMilli())
	}
	return "findings " + hex.EncodeToString(h.Sum(nil))
}
