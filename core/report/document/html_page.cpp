#include "core/report/document/html_page.hpp"

#include <fmt/format.h>

#include "core/base/base64.hpp"
#include "core/report/document/html_style.hpp"
#include "core/report/words/inline_text.hpp"

namespace nestcup {

namespace {

/// A table of so few rows is not broken between two sheets of paper.
constexpr std::size_t most_rows_kept_together = 16;

/// Writes a document's blocks, counting tables and figures.
class HtmlWriter {
 public:
  explicit HtmlWriter(const Document& document) : document_(document), texts_(document.language) {}

  std::string whole() {
    std::string page = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n<main>\n<h1>{}</h1>\n",
        language_tag(document_.language), html_attribute(document_.title), html_style,
        html_text(document_.title));
    for (const Block& block : document_.blocks) {
      page += std::visit([this](const auto& part) { return html(part); }, block);
    }
    return page + "</main>\n</body>\n</html>\n";
  }

 private:
  std::string html(const Heading& heading) {
    return fmt::format("<h{0}>{1}</h{0}>\n", heading.level, html_text(heading.text));
  }

  std::string html(const Paragraph& paragraph) {
    return "<p>" + html_text(paragraph.text) + "</p>\n";
  }

  std::string html(const Bullets& bullets) {
    std::string list = "<ul>\n";
    for (const std::string& item : bullets.items) list += "<li>" + html_text(item) + "</li>\n";
    return list + "</ul>\n";
  }

  std::string html(const Cautions& cautions) {
    return fmt::format("<section class=\"cautions\">\n<h2>{}</h2>\n{}</section>\n",
                       html_text(cautions.title), html(Bullets{cautions.items}));
  }

  std::string html(const Table& table) {
    const std::string title =
        texts_.fill("page.table", {{"number", std::to_string(++tables_)}, {"title", table.title}});
    const bool is_short = table.rows.size() <= most_rows_kept_together;
    std::string body = fmt::format("<table{}>\n<caption><span>{}</span></caption>\n<thead><tr>",
                                   is_short ? " class=\"short\"" : "", html_text(title));
    for (const Column& column : table.columns) {
      body += fmt::format("<th scope=\"col\"{}>{}</th>", kind(column), html_text(column.head));
    }
    body += "</tr></thead>\n<tbody>\n";
    for (const auto& row : table.rows) body += html(row, table.columns);
    body += "</tbody>\n</table>\n";
    // What can be wider than the page scrolls, also by keyboard.
    const std::string name = html_attribute(title);
    std::string whole = fmt::format(
        "<div class=\"wide\" role=\"region\" aria-label=\"{}\" tabindex=\"0\">\n{}</div>\n", name,
        body);
    if (table.is_long) {
      whole =
          fmt::format("<details>\n<summary>{}</summary>\n{}</details>\n", html_text(title), whole);
    }
    if (!table.note.empty()) whole += "<p class=\"note\">" + html_text(table.note) + "</p>\n";
    return whole;
  }

  static std::string kind(const Column& column) {
    return column.is_number ? " class=\"number\"" : "";
  }

  std::string html(const std::vector<Cell>& row, const std::vector<Column>& columns) {
    std::string out = "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const bool heads = i == 0 && !columns[i].is_number;
      out += fmt::format("<{}{}{}>{}</{}>", heads ? "th scope=\"row\"" : "td", kind(columns[i]),
                         id(row[i]), content(row[i]), heads ? "th" : "td");
    }
    return out + "</tr>\n";
  }

  static std::string id(const Cell& cell) {
    return cell.id.empty() ? "" : fmt::format(" id=\"{}\"", html_attribute(cell.id));
  }

  static std::string content(const Cell& cell) {
    std::string out =
        cell.is_blank ? std::string("<span class=\"blank\">&nbsp;</span>") : html_text(cell.text);
    if (!cell.below.empty()) out += "<span class=\"below\">" + html_text(cell.below) + "</span>";
    return out;
  }

  std::string html(const Figure& figure) {
    return fmt::format(
        "<figure>\n<img alt=\"{}\" src=\"data:image/svg+xml;base64,{}\">\n"
        "<figcaption>{}</figcaption>\n</figure>\n",
        html_attribute(figure.words), base64_text(figure.svg),
        html_text(texts_.fill(
            "page.figure", {{"number", std::to_string(++figures_)}, {"caption", figure.caption}})));
  }

  const Document& document_;
  Texts texts_;
  int tables_ = 0;
  int figures_ = 0;
};

}  // namespace

std::string html_page(const Document& document) {
  return HtmlWriter(document).whole();
}

}  // namespace nestcup
