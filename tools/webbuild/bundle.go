package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// entries are the bundles: name in the manifest and source.
var entries = []struct{ name, source string }{
	{"style", "style/style.css"},
	{"theme", "src/theme.ts"},
	{"app", "src/app.ts"},
	{"plot", "src/plot.ts"},
}

// licensed are the packages whose work is in the bundles, with their licences.
var licensed = []struct{ name, file string }{
	{"uPlot", "node_modules/uplot/LICENSE"},
	{"Source Sans 3", "node_modules/@fontsource-variable/source-sans-3/LICENSE"},
	{"Source Serif 4", "node_modules/@fontsource-variable/source-serif-4/LICENSE"},
}

// manifest names the files of dist for the server.
type manifest struct {
	Style    string   `json:"style"`
	Theme    string   `json:"theme"`
	App      string   `json:"app"`
	Plot     string   `json:"plot"`
	Icon     string   `json:"icon"`
	Licences string   `json:"licences"`
	Fonts    []string `json:"fonts"`
}

// bundle makes every file of dist in memory, by name.
func bundle(frontend string) (map[string][]byte, error) {
	files := map[string][]byte{}
	names, err := bundleEntries(frontend, files)
	if err != nil {
		return nil, err
	}
	icon, err := os.ReadFile(filepath.Join(frontend, "icon.svg"))
	if err != nil {
		return nil, err
	}
	licences, err := licenceText(frontend)
	if err != nil {
		return nil, err
	}
	m := manifest{
		Style: names["style"], Theme: names["theme"], App: names["app"], Plot: names["plot"],
		Icon: put(files, "icon", ".svg", icon), Licences: put(files, "licences", ".txt", licences),
	}
	for name := range files {
		if strings.HasSuffix(name, ".woff2") {
			m.Fonts = append(m.Fonts, name)
		}
	}
	slices.Sort(m.Fonts)
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, err
	}
	files["manifest.json"] = append(text, '\n')
	return files, nil
}

// bundleEntries runs the bundler and returns the file name of each entry.
func bundleEntries(frontend string, files map[string][]byte) (map[string]string, error) {
	options := api.BuildOptions{
		AbsWorkingDir: frontend,
		Outdir:        filepath.Join(frontend, "dist"), // a name only: nothing is written
		Bundle:        true,
		Write:         false,
		Metafile:      true,
		Format:        api.FormatIIFE,
		Target:        api.ES2022,
		Charset:       api.CharsetUTF8,
		EntryNames:    "[name]-[hash]",
		AssetNames:    "[name]-[hash]",
		LegalComments: api.LegalCommentsNone, // they are in licences-*.txt, whole
		Loader:        map[string]api.Loader{".woff2": api.LoaderFile},

		MinifyWhitespace:  true,
		MinifyIdentifiers: true,
		MinifySyntax:      true,
	}
	for _, e := range entries {
		options.EntryPointsAdvanced = append(options.EntryPointsAdvanced, api.EntryPoint{InputPath: e.source, OutputPath: e.name})
	}
	result := api.Build(options)
	if messages := append(result.Errors, result.Warnings...); len(messages) > 0 {
		text := api.FormatMessages(messages, api.FormatMessagesOptions{Kind: api.ErrorMessage})
		return nil, errors.New(strings.Join(text, "\n"))
	}
	for _, f := range result.OutputFiles {
		files[filepath.Base(f.Path)] = f.Contents
	}
	return entryNames(result.Metafile)
}

// entryNames reads from the bundler's own record which file an entry became.
func entryNames(metafile string) (map[string]string, error) {
	var meta struct {
		Outputs map[string]struct {
			EntryPoint string `json:"entryPoint"`
		} `json:"outputs"`
	}
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return nil, err
	}
	names := map[string]string{}
	for output, o := range meta.Outputs {
		for _, e := range entries {
			if o.EntryPoint == e.source {
				names[e.name] = path.Base(output)
			}
		}
	}
	if len(names) != len(entries) {
		return nil, fmt.Errorf("the bundler made %d of %d entries", len(names), len(entries))
	}
	return names, nil
}

// licenceText joins the licences of what is bundled.
func licenceText(frontend string) ([]byte, error) {
	var b strings.Builder
	b.WriteString("fallwright's pages use the following work of others.\n")
	for _, l := range licensed {
		text, err := os.ReadFile(filepath.Join(frontend, filepath.FromSlash(l.file)))
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&b, "\n\n%s\n%s\n\n%s\n", l.name, strings.Repeat("=", len(l.name)), strings.TrimSpace(string(text)))
	}
	return []byte(b.String()), nil
}

// put adds a file under a name with a hash of its bytes and returns the name.
func put(files map[string][]byte, stem, ext string, data []byte) string {
	sum := sha256.Sum256(data)
	name := stem + "-" + strings.ToUpper(hex.EncodeToString(sum[:4])) + ext
	files[name] = data
	return name
}
