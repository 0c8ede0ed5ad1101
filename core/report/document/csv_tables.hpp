// The tables of a document as files for spreadsheets and scripts.
#pragma once

#include <string>
#include <vector>

#include "core/report/document/document.hpp"

namespace nestcup {

enum class CsvKind {
  comma,     ///< RFC 4180, decimal point
  semicolon  ///< fields by semicolons, decimal commas, UTF-8 with its mark: for spreadsheets
};

/// One table as a file.
struct CsvFile {
  std::string name;  ///< "03 corrected-rise.csv": number and key of the table
  std::string text;
};

/// All tables, numbered as on the pages; the first row has the columns' heads.
[[nodiscard]] std::vector<CsvFile> csv_tables(const Document& document, CsvKind kind);

}  // namespace nestcup
