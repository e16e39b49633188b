// The project's own files, as text: what the tidy tests read.
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace trayproof::tidy {

struct File {
  std::string path;  // from the root, with '/'
  std::vector<std::string> lines;

  bool is_code() const;
  // "ledger/base" of ledger/base/time.h; "ledger" of ledger/ledger.h.
  std::string room() const;
};

// Every file under the folder, in order of its path; without builds and hidden folders.
std::vector<File> files_under(const std::string& folder);
// Of ledger, importer and report.
const std::vector<File>& product();
std::string text_of(const std::string& path);
std::string joined(const File& file);

// The texts between quotes of one line of code, without escapes undone.
std::vector<std::string> literals(std::string_view line);
// Whether `word` stands in the text with no letter, digit or underscore beside it.
bool has_word(std::string_view text, std::string_view word);
std::string lower(std::string_view text);
// {name} of a text of the catalogue, and of {name|of one|of others} the same.
std::set<std::string> places_of(std::string_view text);

// Collects what is wrong: where, what, and what to do instead.
class Violations {
 public:
  void add(const std::string& path, std::size_t line, const std::string& what);
  void add(const std::string& what) { all_ += what + "\n"; }
  bool none() const { return all_.empty(); }
  const std::string& text() const { return all_; }

 private:
  std::string all_;
};

}  // namespace trayproof::tidy
