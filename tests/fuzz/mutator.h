// Changes bytes a little, by a fixed sequence of numbers: the same seed gives the same inputs on every machine.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace trayproof::fuzz {

class Mutator {
 public:
  Mutator(std::uint64_t seed, std::vector<std::string> corpus, std::size_t bytes_most);
  // A file of the corpus with one to eight changes.
  std::string next();

 private:
  std::uint64_t number();
  std::size_t below(std::size_t bound) { return bound == 0 ? 0 : static_cast<std::size_t>(number() % bound); }
  const std::string& any() { return corpus_[below(corpus_.size())]; }
  void change(std::string& text);
  // A word, number or mark as it stands in some file of the corpus.
  std::string token();

  std::uint64_t state_;
  std::vector<std::string> corpus_;
  std::size_t bytes_most_;
};

}  // namespace trayproof::fuzz
