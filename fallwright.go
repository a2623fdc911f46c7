// Package fallwright is the root of the project: it holds nothing but the
// tests of what spans it, the arrows between folders and the documents.
package fallwright
