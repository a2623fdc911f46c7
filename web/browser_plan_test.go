package web

import (
	"fmt"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// TestBrowserPlan walks question, plan, cut list and labels as somebody who plans
// would, waits for the numbers and freezes the plan, on a desk and on a phone, by day
// and in the dark.
func TestBrowserPlan(t *testing.T) {
	chromium, axe := need(t)
	ctx := startBrowser(t, chromium)
	walked := 0
	for _, width := range []int64{1440, 390} {
		for _, scheme := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%d %s", width, scheme), func(t *testing.T) {
				d := drawnDesk(t)
				server := httptest.NewServer(New(d, Options{Program: "fallwright test"}))
				defer server.Close()
				b := openTab(t, ctx, server.URL, width, scheme, axe)
				b.planning()
				walked += b.pages
				if s, err := d.Store.Study(t.Context(), "drawn"); err != nil || s.Frozen == nil || s.Frozen.By != "Ina" {
					t.Errorf("the plan is not frozen: %v", err)
				}
			})
		}
	}
	if walked < 4*5 {
		t.Errorf("looked at %d pages, want at least %d", walked, 4*5)
	}
}

// comesAgain waits for a page that loads itself anew to show something.
func (b *tab) comesAgain(selector string) {
	b.Helper()
	for range 150 {
		there, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](fmt.Sprintf("document.readyState == 'complete' && !!document.querySelector(%q)", selector)))
		if err == nil && there {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	b.Fatalf("the page did not come again with %s", selector)
}

func (b *tab) planning() {
	b.Helper()
	b.do(chromedp.Navigate(b.root + "/study/drawn"))
	b.follow("/study/drawn/question", chromedp.KeyEvent("gq"))
	b.comesAgain(".chances")
	b.look("question")
	b.follow("/study/drawn/plan", chromedp.KeyEvent("gp"))
	if evaluate[bool](b, `!!document.querySelector("[data-counts]")`) {
		b.Error("the numbers are worked out twice")
	}
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach(d => d.open = true)`))
	b.look("plan")
	b.follow("/study/drawn/cut-list", chromedp.KeyEvent("gc"))
	b.look("cut-list")
	b.follow("/study/drawn/cut-list/labels", chromedp.Click(chromedp.CSS(`a[href$="/labels"]`)))
	b.look("labels")
	b.do(chromedp.Navigate(b.root + "/study/drawn/plan#freeze"))
	b.do(chromedp.SetValue(chromedp.CSS(`#freeze input[name="by"]`), "Ina"))
	b.follow("/study/drawn/plan", chromedp.Click(chromedp.CSS("#freeze button")))
	b.look("plan-frozen")
	b.quiet()
}
