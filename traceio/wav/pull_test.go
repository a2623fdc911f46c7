package wav

import (
	"encoding/binary"
	"math"
	"testing"

	"fallwright.example/trace"
)

// Which way a pull goes is in the side-car and reaches the recording.
func TestPullOfTheSideCar(t *testing.T) {
	var b []byte
	b = append(b, "RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x03\x00\x01\x00"...)
	b = binary.LittleEndian.AppendUint32(b, 1000)
	b = binary.LittleEndian.AppendUint32(b, 4000)
	b = append(b, 4, 0, 32, 0)
	b = append(b, "data"...)
	b = binary.LittleEndian.AppendUint32(b, 4*50)
	for i := range 50 {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(i%10)/-20))
	}
	binary.LittleEndian.PutUint32(b[4:], uint32(len(b)-8))
	for text, want := range map[string]trace.Pull{"negative": trace.PullNegative, "positive": trace.PullPositive} {
		ask := trace.Ask{SideCarName: "drop.wav.toml", SideCar: "full_scale = 20.0\nunit = \"kN\"\npull = \"" + text + "\"\n"}
		file, err := Format{}.Read("drop.wav", b, ask)
		if err != nil {
			t.Fatal(err)
		}
		if got := file.Parts[0].Pull; got != want {
			t.Errorf("pull %q: the recording says %d, want %d", text, got, want)
		}
	}
}
