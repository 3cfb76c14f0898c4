// Package web serves the pages: plain HTML from embedded templates, no script
// needed, nothing loaded from elsewhere.
package web
