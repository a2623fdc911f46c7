package html

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

const axeFile = "../../web/frontend/node_modules/axe-core/axe.min.js"

// The report as a browser lays it out: on a phone nothing but the boxes of
// tables moves sideways, the accessibility checker finds nothing, and what is
// printed is never dark.
func TestReportInABrowser(t *testing.T) {
	axe := need(t)
	// Every kind of row once is enough: the checker looks at each element.
	r := fixture(t)
	r.Overview.Drops, r.Inputs, r.Overview.Specimens = r.Overview.Drops[:9], r.Inputs[:4], r.Overview.Specimens[:5]
	for i := range r.Overlays {
		r.Overlays[i].Traces = r.Overlays[i].Traces[:1]
	}
	file := filepath.Join(t.TempDir(), "report.html")
	if err := os.WriteFile(file, []byte(written(t, r)), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx := startBrowser(t)
	for _, c := range []struct {
		media, scheme string
		width         int64
	}{{"screen", "light", 390}, {"screen", "dark", 390}, {"screen", "light", 1440}, {"screen", "dark", 1440}, {"print", "dark", 720}} {
		t.Run(fmt.Sprintf("%s %s %d", c.media, c.scheme, c.width), func(t *testing.T) {
			show(t, ctx, file, c.media, c.scheme, c.width)
			if faults := ask(t, ctx, sideways); faults != "" {
				t.Errorf("sideways: %s", faults)
			}
			if c.media == "print" {
				if ground := ask(t, ctx, `getComputedStyle(document.documentElement).getPropertyValue("--paper")`); ground != "#faf8f3" {
					t.Errorf("printed on %s", ground)
				}
				return
			}
			ask(t, ctx, axe+`;""`)
			if faults := ask(t, ctx, violations); faults != "" {
				t.Errorf("accessibility: %s", faults)
			}
		})
	}
}

const (
	sideways = `(() => {
		const wide = [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth + 0.5 && !e.closest(".scroll"));
		const own = document.documentElement.scrollWidth > innerWidth ? ["the page"] : [];
		return own.concat(wide.slice(0, 5).map(e => e.outerHTML.slice(0, 80))).join("; ");
	})()`
	violations = `axe.run().then(r => {
		if (r.passes.length < 20) return "only " + r.passes.length + " rules were checked";
		return r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 80)).join(", ")).join("; ");
	})`
)

// need returns the accessibility checker. Where it or the browser is missing
// the test fails when everything is to be checked, and is skipped otherwise.
func need(t *testing.T) string {
	t.Helper()
	missing := func(what string) {
		text := "NOT CHECKED: the report in a browser, its accessibility, phone width, print: " + what + " is missing"
		if os.Getenv("CI") != "" || os.Getenv("FALLWRIGHT_CHECK") != "" {
			t.Fatal(text)
		}
		t.Skip(text)
	}
	if _, err := exec.LookPath("chromium"); err != nil {
		missing("chromium")
	}
	axe, err := os.ReadFile(axeFile)
	if err != nil {
		missing(strings.TrimPrefix(axeFile, "../../"))
	}
	return string(axe)
}

func startBrowser(t *testing.T) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath("chromium"), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocator)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("chromium does not start: %v", err)
	}
	timed, done := context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(done)
	return timed
}

func show(t *testing.T, ctx context.Context, file, media, scheme string, width int64) {
	t.Helper()
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Media:    media,
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate("file://"+file)); err != nil {
		t.Fatal(err)
	}
}

func ask(t *testing.T, ctx context.Context, script string) string {
	t.Helper()
	answer, err := chromedp.Run(ctx, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	return answer
}
