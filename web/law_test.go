package web

import (
	"net/http/httptest"
	"strings"
	"testing"
)

const lawPage = "/study/sea-water/series/M-01"

// While laws are not fitted the page says so at once, and gives an address that
// tells how far it is and one that waits.
func TestWallPending(t *testing.T) {
	d := *fake(t)
	d.pending = true
	h := wallApp(t, &d)
	text := h.text(wallPath)
	for _, s := range []string{"The rope of this study is not fitted yet", `data-counts="/study/sea-water/laws"`, `href="/study/sea-water/wall?laws=wait"`, "Invented rope"} {
		said(t, text, s)
	}
	if strings.Contains(text, "No law has been fitted") {
		t.Error("it says that nothing is fitted while it is being fitted")
	}
	if text := h.text(wallPath + "?ground=9+m"); !strings.Contains(text, "ground=9+m&amp;laws=wait") {
		t.Error("the link that waits forgets the fall")
	}
	r := httptest.NewRecorder()
	New(&d, Options{}).ServeHTTP(r, httptest.NewRequest("GET", "/study/sea-water/laws", nil))
	if lines := strings.Fields(r.Body.String()); len(lines) == 0 || lines[len(lines)-1] != "ready" {
		t.Errorf("progress: %q", r.Body.String())
	}
	r = httptest.NewRecorder()
	New(&d, Options{}).ServeHTTP(r, httptest.NewRequest("GET", "/study/none/laws", nil))
	if got := r.Body.String(); !strings.HasSuffix(got, "refused\n") {
		t.Errorf("of no study: %q", got)
	}
}

// The section of a law: a form alone, until one is asked for.
func TestSeriesLaw(t *testing.T) {
	h := wallApp(t, fake(t))
	text := h.text(lawPage)
	said(t, text, `id="law"`)
	said(t, text, `<option value="stiffening" selected>`)
	if strings.Contains(text, "Parameters of the law") {
		t.Error("a law is fitted that nobody asked for")
	}
	text = h.text(lawPage + "?law=kelvin-voigt")
	for _, s := range []string{
		"The Kelvin-Voigt law, fitted to 3 falls, each by itself, does not hold", "It fails most", "Parameters of the law", "modulus, N",
		"<title>Fall 1 by the Kelvin-Voigt law", "Fall 3: the Kelvin-Voigt law reaches a peak of", "dashed lines mark 1.96 times the noise", `<option value="kelvin-voigt" selected>`,
	} {
		said(t, text, s)
	}
	text = h.text(lawPage + "?law=rubber")
	said(t, text, "No law was fitted.")
	said(t, text, "there is no law")
}
