// A small document on every kind of page.
#include "core/report/document/csv_tables.hpp"
#include "core/report/document/html_page.hpp"
#include "core/report/document/markdown_page.hpp"
#include "core/report/words/inline_text.hpp"
#include "core/report/words/symbol_text.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Document small_document(Language language) {
  Document document;
  document.language = language;
  document.title = "A & B <1>";
  Table table;
  table.title = "Rises";
  table.key = "rises/of \"a\"";
  table.columns = {{"run", false}, {"T_{1} / K", true}};
  const Texts texts(language);
  table.rows = {{"one, \"first\"", texts.number("-6.21")}, {Cell("two", "T_{1} = x"), Cell()}};
  table.rows[1][1].is_blank = true;
  document.add(table);
  document.add(Figure{"a caption", "words for it", "<svg/>"});
  return document;
}

std::string place_of(int number) {
  return "figure-" + std::to_string(number) + ".svg";
}

}  // namespace

TEST_CASE("HTML escapes what is not its own, and numbers tables and figures", "[pages]") {
  const std::string page = html_page(small_document(Language::german));
  CHECK(page.find("<h1>A &amp; B &lt;1&gt;</h1>") != std::string::npos);
  CHECK(page.find("<html lang=\"de\">") != std::string::npos);
  CHECK(page.find("Tabelle 1. Rises") != std::string::npos);
  CHECK(page.find("Abbildung 1. a caption") != std::string::npos);
  CHECK(page.find("T<sub>1</sub> / K") != std::string::npos);
  CHECK(page.find("src=\"data:image/svg+xml;base64,PHN2Zy8+\"") != std::string::npos);
}

TEST_CASE("Markdown escapes what it would take for markup", "[pages]") {
  const std::string page = markdown_page(small_document(Language::english), place_of);
  CHECK(page.find("# A & B \\<1\\>") == 0);
  CHECK(page.find("| run | T<sub>1</sub> / K |\n| --- | ---: |") != std::string::npos);
  CHECK(page.find("](<figure-1.svg>)") != std::string::npos);
}

TEST_CASE("Tables as CSV follow RFC 4180, or what spreadsheets with decimal commas read",
          "[pages]") {
  const auto plain = csv_tables(small_document(Language::german), CsvKind::comma);
  REQUIRE(plain.size() == 1);
  CHECK(plain.front().name == "01 rises-of -a-.csv");
  CHECK(plain.front().text == "run,T_1 / K\r\n\"one, \"\"first\"\"\",-6.21\r\ntwo: T_1 = x,\r\n");
  const auto sheet = csv_tables(small_document(Language::english), CsvKind::semicolon);
  CHECK(sheet.front().text ==
        "\xEF\xBB\xBFrun;T_1 / K\r\n\"one, \"\"first\"\"\";-6,21\r\ntwo: T_1 = x;\r\n");
}

TEST_CASE("Symbols, species and units as they are printed", "[pages]") {
  CHECK(plain_text(symbol_text("DeltaH_25")) == "\xCE\x94H_25");
  CHECK(symbol_text("n_1(H+(aq))") == "n_{1}(H^{+}(aq))");
  CHECK(symbol_text("rho_1,20") == "\xCF\x81_{1,20}");
  CHECK(chemistry_text("Mg+2(aq) + SO4-2(aq) -> MgSO4(aq)") ==
        "Mg^{2+}(aq) + SO_{4}^{2\xE2\x88\x92}(aq) \xE2\x86\x92 MgSO_{4}(aq)");
  CHECK(chemistry_text("H2(g) + 1/2 O2(g) -> H2O(l)") ==
        "H_{2}(g) + 1/2 O_{2}(g) \xE2\x86\x92 H_{2}O(l)");
  CHECK(unit_text("degC") ==
        "\xC2\xB0"
        "C");
}
