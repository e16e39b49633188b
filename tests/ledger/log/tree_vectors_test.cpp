#include <string>

#include "ledger/log/chain.h"
#include "ledger/log/tree.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

Digest digest(std::string_view text) {
  Digest out{};
  REQUIRE(from_hex(text, out));
  return out;
}

// transparency-dev/merkle @417fb0c3, testonly/constants.go: the eight leaves of the RFC 6962 tests.
std::vector<Digest> leaves(std::size_t count) {
  const char* inputs[] = {
      "", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"};
  std::vector<Digest> hashes;
  for (std::size_t i = 0; i < count; ++i) hashes.push_back(log::leaf_hash(as_text(*from_hex(inputs[i]))));
  return hashes;
}

const char* roots[] = {"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
                       "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
                       "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
                       "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
                       "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
                       "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
                       "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
                       "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
                       "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"};
const char* leaf_hashes[] = {"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
                             "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
                             "0298d122906dcfc10892cb53a73992fc5b9f493ea4c9badb27b791b4127a7fe7",
                             "07506a85fd9dd2f120eb694f86011e5bb4662e5c415a62917033d4a9624487e7",
                             "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
                             "4271a26be0d8a84f0bd54c8c302e7cb3a3b5d1fa6780a40bcce2873477dab658",
                             "b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f",
                             "46f6ffadd3d06a09ff3c5860d2755c8b9819db7df44251788c7d8e3180de8eb1"};
// Inner nodes of the same tree; Nij is the j-th of level i from the left.
const char* n12 = "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e";
const char* n22 = "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a";
const char* n31 = "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4";
const char* n32 = "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0";

std::vector<std::string> written(const log::Proof& proof) {
  std::vector<std::string> path;
  for (const Digest& one : proof) path.push_back(hex(one));
  return path;
}
using Path = std::vector<std::string>;

}  // namespace

TEST_CASE("leaves and roots are those of the published tree of eight leaves") {
  for (std::size_t i = 0; i < 8; ++i) CHECK_EQ(hex(leaves(8)[i]), leaf_hashes[i]);
  log::Frontier frontier;
  for (std::size_t size = 0; size <= 8; ++size) {
    CHECK_EQ(hex(log::root_of(leaves(size))), roots[size]);
    CHECK_EQ(hex(frontier.root()), roots[size]);
    if (size < 8) frontier.add(leaves(8)[size]);
  }
}

TEST_CASE("inclusion proofs are those of the published tree") {
  CHECK(written(log::prove_inclusion(leaves(8), 0)) == Path{leaf_hashes[1], n12, n31});
  CHECK(written(log::prove_inclusion(leaves(8), 5)) == Path{leaf_hashes[4], n32, roots[4]});
  CHECK(written(log::prove_inclusion(leaves(3), 2)) == Path{roots[2]});
  CHECK(written(log::prove_inclusion(leaves(5), 1)) == Path{leaf_hashes[0], n12, leaf_hashes[4]});
}

TEST_CASE("consistency proofs are those of the published tree") {
  CHECK(written(log::prove_consistency(leaves(8), 1)) == Path{leaf_hashes[1], n12, n31});
  CHECK(written(log::prove_consistency(leaves(8), 6)) == Path{n22, n32, roots[4]});
  CHECK(written(log::prove_consistency(leaves(5), 2)) == Path{n12, leaf_hashes[4]});
  CHECK(written(log::prove_consistency(leaves(8), 4)) == Path{n31});
  // Worked out by hand from RFC 9162 section 2.1.4.1.
  CHECK(written(log::prove_consistency(leaves(7), 3)) ==
        Path{leaf_hashes[2], leaf_hashes[3], roots[2],
             "837dbb152e9b079010717e84e865da4ebc0fa198a806d59d31bf15accef22d0e"});
}

TEST_CASE("published proofs check and do not check against another leaf") {
  const log::Proof proof = {digest(leaf_hashes[4]), digest(n32), digest(roots[4])};
  CHECK(log::check_inclusion(digest(leaf_hashes[5]), 5, 8, digest(roots[8]), proof));
  CHECK(!log::check_inclusion(digest(leaf_hashes[5]), 4, 8, digest(roots[8]), proof));
  CHECK(!log::check_inclusion(digest(leaf_hashes[4]), 5, 8, digest(roots[8]), proof));
  CHECK(!log::check_inclusion(digest(leaf_hashes[5]), 5, 8, digest(roots[7]), proof));
  CHECK(!log::check_inclusion(digest(leaf_hashes[5]), 8, 8, digest(roots[8]), proof));
  CHECK(log::check_consistency({6, digest(roots[6])}, {8, digest(roots[8])},
                               {digest(n22), digest(n32), digest(roots[4])}));
  CHECK(!log::check_consistency({5, digest(roots[6])}, {8, digest(roots[8])},
                                {digest(n22), digest(n32), digest(roots[4])}));
}
