// Hyphenates words with npm's `hyphen`. Arguments: the folder of the package, then one of its languages. Words come on
// standard input, one a line, and go to standard output in the same order with hyphens put in.
const [folder, language] = process.argv.slice(2);
const { hyphenateSync } = require(`${folder}/${language}`);
const words = require("node:fs").readFileSync(0, "utf8").split("\n").filter((word) => word.length > 0);
for (const word of words) {
    console.log(hyphenateSync(word, { hyphenChar: "-", minWordLength: 1 }));
}
