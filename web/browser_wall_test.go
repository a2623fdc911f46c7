package web

import (
	"fmt"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestBrowserRigAndWall looks at the rig and the wall on a desk and a phone, by
// day and in the dark, refused and not, and plays the fall.
func TestBrowserRigAndWall(t *testing.T) {
	chromium, axe := need(t)
	server := httptest.NewServer(New(fake(t), Options{Program: "fallwright test", Fall: fallText}))
	defer server.Close()
	ctx := startBrowser(t, chromium)
	looked := 0
	for _, width := range []int64{1440, 390} {
		for _, scheme := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%d %s", width, scheme), func(t *testing.T) {
				b := openTab(t, ctx, server.URL, width, scheme, axe)
				for _, page := range []struct{ name, path string }{
					{"rig", rigPath},
					{"rig-refused", rigPath + "?low=3&t-mass=80+kg&t-drop=9+m&t-length=2.6+m&t-peak=3"},
					{"wall", wallPath},
					{"wall-refused", wallPath + "?mass=75&r-below=2+m&r-turn=180&r-friction=slick&file=bad"},
				} {
					b.do(chromedp.Navigate(server.URL + page.path))
					b.look(page.name)
				}
				b.do(chromedp.Navigate(server.URL + wallPath))
				b.play()
				b.quiet()
				looked += b.pages
			})
		}
	}
	if looked != 16 {
		t.Errorf("looked at %d pages", looked)
	}
}

// play holds that the fall stands still for a reader who asks for less motion,
// runs when told, pauses, and can be led by keys; and that it runs by itself for
// others.
func (b *tab) play() {
	b.Helper()
	const at, words = `Number(document.querySelector("#moment").value)`, `document.querySelector("[data-play]").textContent`
	b.do(chromedp.ScrollIntoView(chromedp.CSS("fall-motion")), chromedp.Sleep(300*time.Millisecond))
	if v, w := evaluate[float64](b, at), evaluate[string](b, words); v != 0 || w != "Play" {
		b.Errorf("with less motion asked for it stands at %g, and the button says %q", v, w)
	}
	b.do(chromedp.Click(chromedp.CSS("[data-play]")))
	b.until(at + ` > 5`)
	b.do(chromedp.Click(chromedp.CSS("[data-play]")))
	paused := evaluate[float64](b, at)
	b.do(chromedp.Sleep(200 * time.Millisecond))
	if v, w := evaluate[float64](b, at), evaluate[string](b, words); v != paused || w == "Pause" {
		b.Errorf("paused at %g it goes on to %g, and the button says %q", paused, v, w)
	}
	b.do(chromedp.Focus(chromedp.CSS("#moment")), chromedp.KeyEvent(kb.End))
	if v, last := evaluate[float64](b, at), evaluate[float64](b, `Number(document.querySelector("#moment").max)`); v != last || last < 60 {
		b.Errorf("End on the slider leads to %g of %g", v, last)
	}
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "no-preference"}}})
	if err != nil {
		b.Fatal(err)
	}
	b.do(chromedp.Reload(), chromedp.ScrollIntoView(chromedp.CSS("fall-motion")))
	b.until(at + ` > 5`)
}
