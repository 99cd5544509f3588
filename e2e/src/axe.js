// All rules of WCAG 2 at the levels A and AA, and what axe-core's makers hold for good practice.
const done = arguments[arguments.length - 1];
const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
axe
  .run(document, {
    resultTypes: ["violations"],
    runOnly: { type: "tag", values: tags },
    rules: { "target-size": { enabled: true } },
  })
  .then(({ violations }) =>
    done(
      violations.map(({ id, help, nodes }) => {
        const places = nodes.slice(0, 3).map(({ target, any, all, none }) => {
          const why = [...any, ...all, ...none].map(({ message }) => message)[0] ?? "";
          return `${target.join(" ")} (${why})`;
        });
        return `${id} (${help}), ${nodes.length} times: ${places.join("; ")}`;
      }),
    ),
  )
  .catch((error) => done([`axe-core broke off: ${error}`]));
