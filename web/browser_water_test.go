package web

import (
	"fmt"
	"net/http/httptest"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestBrowserWater walks the page Water and the bath side as somebody with a scale
// would: reads, stores a weighing by taps, and is refused one; on a desk and on a
// phone, by day and in the dark.
func TestBrowserWater(t *testing.T) {
	chromium, axe := need(t)
	ctx := startBrowser(t, chromium)
	walked := 0
	for _, width := range []int64{1440, 390} {
		for _, scheme := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%d %s", width, scheme), func(t *testing.T) {
				d := fake(t)
				before := len(d.done)
				server := httptest.NewServer(New(d, Options{Program: "fallwright test"}))
				defer server.Close()
				b := openTab(t, ctx, server.URL, width, scheme, axe)
				b.weighing()
				walked += b.pages
				if len(d.done) != before+1 {
					t.Errorf("%d weighings were stored, want 1", len(d.done)-before)
				}
			})
		}
	}
	if walked != 4*4 {
		t.Errorf("looked at %d pages, want %d", walked, 4*4)
	}
}

func (b *tab) weighing() {
	b.Helper()
	b.do(chromedp.Navigate(b.root + "/study/sea-water/water"))
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach(d => d.open = true)`))
	if over := evaluate[float64](b, `(e => e.scrollWidth - e.clientWidth)(document.querySelector("#ends-title + .wide"))`); b.width > 1000 && over > 0 {
		b.Errorf("the table of ends is %g px too wide", over)
	}
	b.look("water")
	b.follow("/study/sea-water/water/entry", chromedp.Click(chromedp.CSS(`.head a[href$="/water/entry"]`)))
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach(d => d.open = true)`))
	// The mass is in sight without scrolling, and every tile is large enough for a wet thumb.
	if y := evaluate[float64](b, `document.querySelector("#weigh-mass").getBoundingClientRect().bottom - innerHeight`); y > 0 {
		b.Errorf("the mass is %g px below the screen", y)
	}
	if n := evaluate[int](b, `[...document.querySelectorAll(".tap")].filter(e => e.getBoundingClientRect().height < 44 || e.getBoundingClientRect().width < 44).length`); n > 0 {
		b.Errorf("%d tiles are smaller than 44 px", n)
	}
	b.look("bath")
	b.do(
		chromedp.SetValue(chromedp.CSS("#weigh-mass"), "281.9"), chromedp.SetValue(chromedp.CSS("#weigh-by"), "Ina"),
		chromedp.Click(chromedp.CSS(`label.tap:has(input[value="M-07"])`)), chromedp.Click(chromedp.CSS(`label.tap:has(input[value="soaked"])`)),
		chromedp.Click(chromedp.CSS(`label.tap:has(input[name="soak"][value="5"])`)),
	)
	b.follow("/study/sea-water/water/entry", chromedp.Click(chromedp.CSS("#weigh button")))
	if !evaluate[bool](b, `new URLSearchParams(location.search).get("stored") == "weigh M-07" && document.querySelector("#weigh-by").value == "Ina"`) {
		b.Error("it was not stored, or who weighed is asked for again")
	}
	b.look("bath-stored")
	b.do(
		chromedp.SetValue(chromedp.CSS("#weigh-mass"), "1,234"), chromedp.Click(chromedp.CSS(`label.tap:has(input[value="M-07"])`)),
		chromedp.Click(chromedp.CSS("#weigh button")),
	)
	b.comesAgain("[aria-invalid]")
	b.look("bath-refused")
}
