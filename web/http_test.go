package web

import (
	"bytes"
	"compress/gzip"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"testing"
)

// logged is the app with its log in a buffer.
func logged(d Desk) (http.Handler, *bytes.Buffer) {
	var lines bytes.Buffer
	return New(d, Options{Log: slog.New(slog.NewTextHandler(&lines, nil))}), &lines
}

func TestValidators(t *testing.T) {
	h := app(t)
	for _, path := range append([]string{"/", "/study/sea-water/trace/drop-040/points?width=200", assetOf(t, "Style")}, studyPages...) {
		first := ask(h, path)
		tag := first.Header().Get("ETag")
		if tag == "" || first.Body.Len() == 0 {
			t.Errorf("%s: tag %q, %d bytes", path, tag, first.Body.Len())
		}
		again := ask(h, path, "If-None-Match", `"other", `+tag)
		if again.Code != http.StatusNotModified || again.Body.Len() != 0 {
			t.Errorf("%s unchanged: status %d, %d bytes", path, again.Code, again.Body.Len())
		}
		if any := ask(h, path, "If-None-Match", "*"); any.Code != http.StatusNotModified {
			t.Errorf("%s with any tag: status %d", path, any.Code)
		}
		if other := ask(h, path, "If-None-Match", `"other"`); other.Code != http.StatusOK {
			t.Errorf("%s with another tag: status %d", path, other.Code)
		}
	}
	if a, b := ask(h, studyPages[0]).Header().Get("ETag"), ask(h, studyPages[1]).Header().Get("ETag"); a == b {
		t.Error("two pages share a tag")
	}
}

func assetOf(t *testing.T, which string) string {
	t.Helper()
	a := mustAssets().addresses
	return map[string]string{"Style": a.Style, "Plot": a.Plot, "Icon": a.Icon}[which]
}

func TestCompression(t *testing.T) {
	h := app(t)
	for _, path := range []string{"/study/sea-water/traces", assetOf(t, "Plot")} {
		plain := ask(h, path)
		small := ask(h, path, "Accept-Encoding", "br, gzip")
		if small.Header().Get("Content-Encoding") != "gzip" || small.Body.Len() > plain.Body.Len()*6/10 {
			t.Errorf("%s: %q, %d bytes of %d", path, small.Header().Get("Content-Encoding"), small.Body.Len(), plain.Body.Len())
			continue
		}
		r, err := gzip.NewReader(small.Body)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil || !bytes.Equal(text, plain.Body.Bytes()) {
			t.Errorf("%s does not unpack to the plain text: %v", path, err)
		}
		if no := ask(h, path, "Accept-Encoding", "gzip;q=0, identity"); no.Header().Get("Content-Encoding") != "" {
			t.Errorf("%s is compressed for a browser that refuses it", path)
		}
	}
}

func TestAssets(t *testing.T) {
	h := app(t)
	looked := 0
	a := mustAssets()
	for name, f := range a.files {
		looked++
		w := ask(h, "/asset/"+name)
		if w.Code != 200 || !bytes.Equal(w.Body.Bytes(), f.plain) || f.kind == "" || w.Header().Get("Content-Type") != f.kind {
			t.Errorf("%s: status %d, kind %q", name, w.Code, f.kind)
		}
		if c := w.Header().Get("Cache-Control"); !strings.Contains(c, "immutable") {
			t.Errorf("%s: %q", name, c)
		}
	}
	if looked < 9 {
		t.Errorf("%d assets, want at least 9", looked)
	}
	licences := string(a.files[strings.TrimPrefix(a.addresses.Licences, "/asset/")].plain)
	for _, words := range []string{"SIL OPEN FONT LICENSE", "Source Sans 3", "Source Serif 4", "uPlot", "Permission is hereby granted"} {
		if !strings.Contains(licences, words) {
			t.Errorf("the licences do not hold %q", words)
		}
	}
}

func TestHead(t *testing.T) {
	h := app(t)
	r, _ := http.NewRequest(http.MethodHead, "/study/sea-water", nil)
	w := record(h, r)
	if w.Code != 200 || w.Body.Len() != 0 || w.Header().Get("Content-Length") == "" {
		t.Errorf("status %d, %d bytes, length %q", w.Code, w.Body.Len(), w.Header().Get("Content-Length"))
	}
}
