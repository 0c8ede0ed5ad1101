// How the HTML page looks.
#pragma once

#include <string_view>

namespace nestcup {

// Contrast of all text is above 7:1. On paper: rows stay whole, heads are repeated, a heading stays
// with what it heads.
inline constexpr std::string_view html_style = R"css(
:root { --ink: #1d1c1a; --quiet: #4a4740; --paper: #fdfcf9; --line: #b9b3a6; --faint: #efece4; }
body { font: 1rem/1.5 Georgia, "DejaVu Serif", serif; color: var(--ink); background: var(--paper);
       max-width: 54rem; margin: 0 auto; padding: 1.5rem 1rem 4rem; }
h1 { font-size: 1.7rem; line-height: 1.25; margin: 0.5rem 0 0.25rem; }
h2 { font-size: 1.3rem; margin: 2.6rem 0 0.5rem; border-bottom: 2px solid var(--line); }
h3 { font-size: 1.08rem; margin: 1.8rem 0 0.4rem; }
p { margin: 0.5rem 0; }
.cautions { border: 2px solid var(--ink); padding: 0.4rem 1rem; margin: 1.2rem 0; }
.cautions h2 { border: 0; margin: 0.3rem 0; font-size: 1.08rem; }
.wide { overflow-x: auto; margin: 1.1rem 0; }
table { border-collapse: collapse; font-size: 0.92rem; line-height: 1.35; }
caption { text-align: left; font-weight: bold; padding: 0.3rem 0; }
caption span { display: inline-block; position: sticky; left: 0; max-width: calc(100vw - 2rem); }
th, td { padding: 0.22rem 0.7rem 0.22rem 0; text-align: left; vertical-align: top;
         border-bottom: 1px solid var(--line); }
thead th { vertical-align: bottom; border-bottom: 2px solid var(--quiet); font-weight: bold; }
tbody th { font-weight: normal; }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums;
          padding-left: 0.7rem; }
thead .number { white-space: normal; }
.below { display: block; color: var(--quiet); font-size: 0.9em; }
.blank { display: inline-block; min-width: 5rem; border-bottom: 1px dotted var(--ink); }
.note { color: var(--quiet); font-size: 0.9rem; margin: 0.2rem 0 1rem; max-width: 48rem; }
sub, sup { font-size: 0.72em; line-height: 0; }
figure { margin: 1.5rem 0; }
figure img { display: block; width: 100%; height: auto; border: 1px solid var(--faint); }
figcaption { font-size: 0.95rem; margin-top: 0.4rem; }
summary { font-weight: bold; cursor: pointer; padding: 0.3rem 0; }
details table caption { display: none; }
footer { margin-top: 3rem; border-top: 1px solid var(--line); color: var(--quiet);
         font-size: 0.9rem; }
@page { size: A4; margin: 18mm 16mm; }
@media print {
  body { font-size: 10pt; max-width: none; padding: 0; background: none; }
  h1, h2, h3, caption, thead, summary { break-after: avoid; }
  tr, figure, .cautions, .short { break-inside: avoid; }
  .note { font-size: 9pt; break-before: avoid; }
  thead { display: table-header-group; }
  .wide { overflow: visible; }
  table { font-size: 8.6pt; }
  th, td { padding-right: 0.6rem; }
  .number { padding-left: 0.3rem; }
  figure img { border: 0; max-height: 106mm; width: auto; max-width: 100%; }
}
)css";

}  // namespace nestcup
