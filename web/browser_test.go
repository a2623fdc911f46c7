package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

const axeFile = "frontend/node_modules/axe-core/axe.min.js"

// need returns a browser and the accessibility checker. Where either is missing
// the test fails when everything is to be checked, and is skipped otherwise.
func need(t *testing.T) (chromium, axe string) {
	t.Helper()
	missing := func(what, hint string) {
		text := fmt.Sprintf("NOT CHECKED: pages in a browser, accessibility, console errors, phone width: %s is missing (%s)", what, hint)
		if os.Getenv("CI") != "" || os.Getenv("FALLWRIGHT_CHECK") != "" {
			t.Fatal(text)
		}
		t.Skip(text)
	}
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		missing("chromium", "on Debian: apt-get install chromium")
	}
	script, err := os.ReadFile(axeFile)
	if err != nil {
		missing("web/"+axeFile, "npm --prefix web/frontend ci --ignore-scripts")
	}
	return chromium, string(script)
}

// TestBrowser walks list, study, traces, trace and findings as a reader would,
// on a desk and on a phone, by day and in the dark.
func TestBrowser(t *testing.T) {
	chromium, axe := need(t)
	desk := fake(t)
	server := httptest.NewServer(New(desk, Options{Program: "fallwright test", Report: writeReport}))
	defer server.Close()
	taking := httptest.NewServer(New(realDesk(t), Options{Program: "fallwright test"}))
	defer taking.Close()
	ctx := startBrowser(t, chromium)
	walked := 0
	for _, width := range []int64{1440, 390} {
		for _, scheme := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%d %s", width, scheme), func(t *testing.T) {
				tab := openTab(t, ctx, server.URL, width, scheme, axe)
				tab.walk(desk)
				walked += tab.pages
				tab = openTab(t, ctx, taking.URL, width, scheme, axe)
				tab.imports()
				walked += tab.pages
			})
		}
	}
	if walked < 4*13 {
		t.Errorf("looked at %d pages, want at least %d", walked, 4*13)
	}
}

func startBrowser(t *testing.T, chromium string) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
	)
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocator)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("chromium does not start: %v", err)
	}
	return ctx
}

// tab is one window with one reader.
type tab struct {
	*testing.T
	ctx   context.Context
	root  string
	name  string // of the screenshots
	width int64
	axe   string
	pages int

	mu      sync.Mutex
	console []string
}

func openTab(t *testing.T, parent context.Context, root string, width int64, scheme, axe string) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(parent)
	t.Cleanup(cancel)
	b := &tab{T: t, root: root, width: width, axe: axe, name: fmt.Sprintf("%d-%s", width, scheme)}
	b.ctx = ctx
	if width < 500 {
		b.do(chromedp.EmulateViewport(width, 844, chromedp.EmulateTouch))
	} else {
		b.do(chromedp.EmulateViewport(width, 900))
	}
	timed, stop := context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(stop)
	b.ctx = timed
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	messages := chromedp.Console(b.ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			b.mu.Lock()
			b.console = append(b.console, m.String())
			b.mu.Unlock()
		}
	}()
	return b
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.Fatal(err)
	}
}

// follow does something that leads to another page and waits for it.
func (b *tab) follow(path string, step chromedp.Action[chromedp.Void]) {
	b.Helper()
	if _, err := chromedp.RunResponse(b.ctx, step); err != nil {
		b.Fatal(err)
	}
	if got := evaluate[string](b, `location.pathname`); got != path {
		b.Fatalf("at %s, want %s", got, path)
	}
}

func evaluate[T any](b *tab, script string) T {
	b.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		b.Fatalf("%s: %v", script, err)
	}
	return v
}

// until waits for a condition in the page.
func (b *tab) until(condition string) {
	b.Helper()
	if _, err := chromedp.Run(b.ctx, chromedp.Poll[bool](condition, chromedp.WithPollingTimeout(10*time.Second))); err != nil {
		b.Fatalf("waiting for %s: %v", condition, err)
	}
}

// look is what holds for every page.
func (b *tab) look(name string) {
	b.Helper()
	b.pages++
	b.steady(name)
	if n := evaluate[int](b, `document.querySelectorAll("h1").length`); n != 1 {
		b.Errorf("%s: %d first headings", name, n)
	}
	b.shoot(name)
	b.accessible(name)
}

// steady holds that the page as a whole does not scroll sideways.
func (b *tab) steady(name string) {
	b.Helper()
	if over := evaluate[float64](b, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
		b.Errorf("%s: the page scrolls sideways by %g px: %s", name, over, evaluate[string](b, widest))
	}
}

// filter chooses one fall in the form above the table.
func (b *tab) filter() {
	b.Helper()
	b.do(chromedp.SetValue(chromedp.CSS(`select[name="fall"]`), "3"))
	b.follow("/study/sea-water/traces", chromedp.Click(chromedp.CSS(".filters button")))
	if n := evaluate[int](b, `document.querySelectorAll("tbody tr").length`); n != 18 {
		b.Errorf("fall 3 has %d rows, want 18", n)
	}
}

// widest names what reaches out of the page furthest.
const widest = `[...document.querySelectorAll("body *")].filter(e => !e.closest(".wide > *, .job ol > *")).map(e => [e.getBoundingClientRect().right, e.tagName + "." + e.className])
	.sort((a, b) => b[0] - a[0]).slice(0, 4).join("; ")`

func (b *tab) accessible(name string) {
	b.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](b.axe + ";0"))
	text := evaluate[string](b, `axe.run(document, {resultTypes: ["violations"]}).then(r => JSON.stringify({
		passes: r.passes.length,
		violations: r.violations.map(v => v.id + ": " + v.help + " " + v.nodes.slice(0, 3).map(n => n.html).join(" | ")),
	}))`)
	var result struct {
		Passes     int
		Violations []string
	}
	if err := json.Unmarshal([]byte(text), &result); err != nil {
		b.Fatal(err)
	}
	if result.Passes < 5 {
		b.Errorf("%s: the checker passed %d rules only: it did not look", name, result.Passes)
	}
	for _, v := range result.Violations {
		b.Errorf("%s: %s", name, v)
	}
}

// shoot keeps a picture of the whole page in the folder FALLWRIGHT_SHOTS.
func (b *tab) shoot(name string) {
	b.Helper()
	folder := os.Getenv("FALLWRIGHT_SHOTS")
	if folder == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name+"-"+b.name+".png"), png, 0o600); err != nil {
		b.Fatal(err)
	}
}

// quiet fails on what the console got.
func (b *tab) quiet() {
	b.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, m := range b.console {
		b.Errorf("console: %s", m)
	}
}

// TestBrowserWithoutScript reads a trace and zooms it with script switched off.
func TestBrowserWithoutScript(t *testing.T) {
	chromium, _ := need(t)
	server := httptest.NewServer(New(fake(t), Options{}))
	defer server.Close()
	b := openTab(t, startBrowser(t, chromium), server.URL, 1440, "light", "")
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.Navigate(server.URL+"/study/sea-water/trace/drop-040"), chromedp.WaitVisible(chromedp.CSS("trace-plot .for-wide svg")))
	if _, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(`a[data-zoom="contact"]`))); err != nil {
		t.Fatal(err)
	}
	if visible, err := chromedp.Run(b.ctx, chromedp.Nodes(chromedp.CSSAll(".tools"), chromedp.NodeNotVisible)); err != nil || len(visible) != 1 {
		t.Errorf("buttons that need script are shown without it: %v", err)
	}
	desc, err := chromedp.Run(b.ctx, chromedp.TextContent(chromedp.CSS("trace-plot .for-wide desc")))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(desc, "1 contact peak") {
		t.Errorf("the picture of the first contact is described as %q", desc)
	}
	b.shoot("without-script")
}
