package main

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/planfile"
	"fallwright.example/problem"
	"fallwright.example/study"
)

func recipesCommand() *cobra.Command {
	var b bookFlags
	var rig string
	cmd := &cobra.Command{
		Use:   "recipes",
		Short: "List how the files of each rig are read",
		Args:  noArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				all, err := desk.Recipes(ctx, rig)
				if err != nil {
					return err
				}
				out := terminal{cmd.OutOrStdout()}
				if len(all) == 0 {
					terminal{cmd.ErrOrStderr()}.line("the book has no recipe; keep one: fallwright book keep-recipe FILE.toml --book %s", b.book)
				}
				for i, r := range all {
					if i > 0 {
						out.line("")
					}
					out.line("# kept %s by %s", r.At.Format("2006-01-02 15:04 MST"), r.By)
					_, keys, _ := strings.Cut(string(planfile.WriteRecipe(r)), "\n\n")
					fmt.Fprint(out.w, keys)
				}
				return nil
			})
		}),
	}
	b.register(cmd, false, false)
	cmd.Flags().StringVar(&rig, "rig", "", "`NAME` of one rig; all when left out")
	return cmd
}

func keepRecipeCommand() *cobra.Command {
	var b bookFlags
	var rig string
	cmd := &cobra.Command{
		Use:   "keep-recipe FILE.toml",
		Short: "Keep in the book how the files of a rig are read",
		Long: `Keep-recipe puts a recipe into the book, where the web app and the plan's rig
find it by name. One of the same name is replaced, and stays in the book.
docs/FORMATS.md describes the file; fallwright read --keep-recipe writes one.`,
		Args: cobra.ExactArgs(1),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			data, err := os.ReadFile(args[0])
			if err != nil {
				return cannotOpen(args[0], err)
			}
			recipe, err := planfile.ParseRecipe(args[0], data)
			if err != nil {
				return err
			}
			if rig != "" {
				recipe.Rig = rig
			}
			if recipe.Rig == "" {
				return problem.New(problem.Invalid, args[0], "the recipe names no rig, and a book keeps recipes by rig").
					Hint("add the rig's name as the plan has it: rig = \"...\", or give it with --rig NAME").In("the recipe was not kept")
			}
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				if _, err := desk.KeepRecipe(ctx, recipe.Rig, recipe.Name, recipe.Ask, b.by); err != nil {
					return err
				}
				terminal{cmd.OutOrStdout()}.line("kept %q for the rig %s", recipe.Name, recipe.Rig)
				warn := terminal{cmd.ErrOrStderr()}
				if recipe.Ask.Part != "" {
					warn.line("its part %q is not kept: it belongs to one file", recipe.Ask.Part)
				}
				rigs, err := rigNames(ctx, desk)
				if err == nil && !slices.Contains(rigs, recipe.Rig) {
					warn.line("no study of the book has a rig of that name; the book has: %s", strings.Join(rigs, ", "))
				}
				return err
			})
		}),
	}
	b.register(cmd, false, true)
	cmd.Flags().StringVar(&rig, "rig", "", "`NAME` of the rig, in the place of the file's")
	return cmd
}

// rigNames lists the rigs of a book's studies, each once.
func rigNames(ctx context.Context, desk *study.Desk) ([]string, error) {
	all, err := desk.Studies(ctx)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, one := range all {
		s, err := desk.Store.Study(ctx, one.Name)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(names, s.Plan.Rig.Name) {
			names = append(names, s.Plan.Rig.Name)
		}
	}
	return names, nil
}
