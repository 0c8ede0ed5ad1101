#include "core/report/document/markdown_page.hpp"

#include "core/report/words/inline_text.hpp"

namespace nestcup {

namespace {

class MarkdownWriter {
 public:
  MarkdownWriter(const Document& document, const std::function<std::string(int)>& figure_path)
      : document_(document), texts_(document.language), figure_path_(figure_path) {}

  std::string whole() {
    std::string page = "# " + markdown_text(document_.title) + "\n";
    for (const Block& block : document_.blocks) {
      page += "\n" + std::visit([this](const auto& part) { return written(part); }, block);
    }
    return page;
  }

 private:
  std::string written(const Heading& heading) {
    return std::string(static_cast<std::size_t>(heading.level), '#') + " " +
           markdown_text(heading.text) + "\n";
  }

  std::string written(const Paragraph& paragraph) { return markdown_text(paragraph.text) + "\n"; }

  std::string written(const Bullets& bullets) {
    std::string list;
    for (const std::string& item : bullets.items) list += "- " + markdown_text(item) + "\n";
    return list;
  }

  std::string written(const Cautions& cautions) {
    return "## " + markdown_text(cautions.title) + "\n\n" + written(Bullets{cautions.items});
  }

  std::string written(const Table& table) {
    std::string out =
        "**" +
        markdown_text(texts_.fill(
            "page.table", {{"number", std::to_string(++tables_)}, {"title", table.title}})) +
        "**\n\n|";
    for (const Column& column : table.columns) out += " " + markdown_text(column.head) + " |";
    out += "\n|";
    for (const Column& column : table.columns) out += column.is_number ? " ---: |" : " --- |";
    for (const auto& row : table.rows) {
      out += "\n|";
      for (const Cell& cell : row) out += " " + content(cell) + " |";
    }
    out += "\n";
    return table.note.empty() ? out : out + "\n" + markdown_text(table.note) + "\n";
  }

  static std::string content(const Cell& cell) {
    const std::string text = cell.is_blank ? "\\_\\_\\_\\_\\_\\_" : markdown_text(cell.text);
    return cell.below.empty() ? text : text + "<br>" + markdown_text(cell.below);
  }

  std::string written(const Figure& figure) {
    ++figures_;
    return "![" + markdown_text(figure.words) + "](<" + figure_path_(figures_) + ">)\n\n" +
           markdown_text(texts_.fill("page.figure", {{"number", std::to_string(figures_)},
                                                     {"caption", figure.caption}})) +
           "\n";
  }

  const Document& document_;
  Texts texts_;
  const std::function<std::string(int)>& figure_path_;
  int tables_ = 0;
  int figures_ = 0;
};

}  // namespace

std::string markdown_page(const Document& document,
                          const std::function<std::string(int)>& figure_path) {
  return MarkdownWriter(document, figure_path).whole();
}

}  // namespace nestcup
