package web

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
	"fallwright.example/traceio/wav"
)

// sound is the fake trace as 16-bit PCM, with 20 kN at full scale.
func sound(peak float64) string {
	rec := fakeTrace(peak, 1)
	rate := uint32(math.Round(1 / (rec.Time[1] - rec.Time[0])))
	samples := make([]int16, len(rec.Force))
	for i, f := range rec.Force {
		samples[i] = int16(math.Round(f / 20e3 * 32768))
	}
	var b bytes.Buffer
	size := uint32(2 * len(samples))
	b.WriteString("RIFF")
	for _, v := range []any{36 + size, []byte("WAVEfmt "), uint32(16), uint16(1), uint16(1), rate, 2 * rate, uint16(2), uint16(16), []byte("data"), size, samples} {
		binary.Write(&b, binary.LittleEndian, v)
	}
	return b.String()
}

// A WAV file's side-car comes with it, by the rules of the command line: it is
// called after the file, its errors are quoted, and the drop keeps it.
func TestSideCar(t *testing.T) {
	d := realDesk(t)
	d.Read = traceio.New(delimited.Format{}, wav.Format{}).Read
	h := New(d, Options{})
	data := sound(3600)
	look := func(car string) string {
		t.Helper()
		w := sendFiles(h, importing, [][3]string{{"file", "fall.wav", data}, {"side-car", "fall.wav.toml", car}})
		if w.Code != http.StatusSeeOther {
			t.Fatalf("status %d:\n%s", w.Code, w.Body)
		}
		return w.Header().Get("Location")
	}
	at := look("")
	text := ask(h, at).Body.String()
	for _, words := range []string{"It cannot be read like this", "“force at full scale” 20", "with it a side-car fall.wav.toml"} {
		if !strings.Contains(text, words) {
			t.Errorf("without a side-car the page does not say %q", words)
		}
	}
	if text = ask(h, at+"?full-scale=20&unit=kN").Body.String(); !strings.Contains(text, "What was read") || !strings.Contains(text, "3.60") {
		t.Errorf("the two fields do not read it")
	}
	text = ask(h, look("unit = \"kN\"\nfull_scale = twenty\n")).Body.String()
	if !strings.Contains(text, "fall.wav.toml:2") || !strings.Contains(text, "full_scale = twenty</pre>") {
		t.Errorf("a wrong side-car is not quoted")
	}
	at = look("full_scale = 20.0\nunit = \"kN\"\n")
	text = ask(h, at).Body.String()
	for _, words := range []string{"with the side-car fall.wav.toml", "the side-car says so", "3.60", "Record it as a drop"} {
		if !strings.Contains(text, words) {
			t.Errorf("the preview does not say %q", words)
		}
	}
	form := url.Values{"kind": {"trial"}, "by": {"tester"}, "at": {"2026-05-04T08:00:00"}, "drop-setting": {fakePlan().Settings[0].Name}}
	w := post(h, at+"/drop", form)
	if w.Code != http.StatusSeeOther {
		t.Fatalf("status %d:\n%s", w.Code, w.Body)
	}
	if text = ask(h, w.Header().Get("Location")).Body.String(); !strings.Contains(text, "3.60") {
		t.Errorf("the drop is not read with it")
	}
}

// What is no side-car of the file is refused before anything is read.
func TestSideCarOfAnother(t *testing.T) {
	h := New(realDesk(t), Options{})
	for name, c := range map[string]struct{ file, car, text, want string }{
		"another's":  {"fall.wav", "other.wav.toml", "unit = \"kN\"", "other.wav.toml is not the side-car of fall.wav: that is called fall.wav.toml"},
		"too large":  {"fall.wav", "fall.wav.toml", strings.Repeat("#", mostSideCar+1), "the side-car is larger than 64 kB"},
		"for text":   {"fall.csv", "fall.csv.toml", "unit = \"kN\"", ""},
		"of packed":  {"fall.csv.gz", "fall.csv.toml", "unit = \"kN\"", ""},
		"none given": {"fall.csv", "", "", ""},
	} {
		w := sendFiles(h, importing, [][3]string{{"file", c.file, string(csv(3600, 1))}, {"side-car", c.car, c.text}})
		if c.want != "" {
			if text := w.Body.String(); w.Code == http.StatusSeeOther || !strings.Contains(text, c.want) {
				t.Errorf("%s: status %d, %s", name, w.Code, text)
			}
			continue
		}
		if w.Code != http.StatusSeeOther {
			t.Errorf("%s: status %d", name, w.Code)
			continue
		}
		used := fmt.Sprintf("the side-car %s is for WAV files only and was not used", c.car)
		if text := ask(h, w.Header().Get("Location")).Body.String(); strings.Contains(text, "is for WAV files only") != (c.car != "") || c.car != "" && !strings.Contains(text, used) {
			t.Errorf("%s: the page does not say what became of %q", name, c.car)
		}
	}
}
