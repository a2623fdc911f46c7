package web

import (
	"fmt"
	"net/http/httptest"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestBrowserLaw looks at a fitted series, a law that is refused, and the wall while
// laws are fitted, on a desk and a phone, by day and in the dark.
func TestBrowserLaw(t *testing.T) {
	chromium, axe := need(t)
	d := *fake(t)
	server := httptest.NewServer(New(&d, Options{Program: "fallwright test"}))
	defer server.Close()
	ctx := startBrowser(t, chromium)
	looked := 0
	for _, width := range []int64{1440, 390} {
		for _, scheme := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%d %s", width, scheme), func(t *testing.T) {
				b := openTab(t, ctx, server.URL, width, scheme, axe)
				for _, page := range []struct{ name, path string }{
					{"law", lawPage + "?law=kelvin-voigt"},
					{"law-refused", lawPage + "?law=rubber"},
				} {
					b.do(chromedp.Navigate(server.URL + page.path))
					b.look(page.name)
				}
				b.quiet()
				looked += b.pages
			})
		}
	}
	if looked != 8 {
		t.Errorf("looked at %d pages", looked)
	}
}
