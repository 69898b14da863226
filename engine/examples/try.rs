use engine::pack::*;
fn main(){
 let mut packs=vec![];
 for d in std::fs::read_dir("rules/packs").unwrap().chain(std::env::args().nth(1).map(|p|std::fs::read_dir(p).unwrap()).into_iter().flatten()){ let d=d.unwrap().path(); if !d.is_dir(){continue;} let mut files=vec![];
  for f in std::fs::read_dir(&d).unwrap(){let f=f.unwrap().path(); files.push((f.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(&f).unwrap()));}
  if files.iter().any(|f|f.0=="pack.toml") { packs.push(PackFiles{folder:d.to_string_lossy().into_owned(),files}); } }
 let t=std::time::Instant::now();
 match RuleBook::load(&packs){ Ok(b)=>{println!("{} rules {} presumptions {} cases {} limits, paths {} in {:?}",b.rules.len(),b.presumptions.len(),b.cases.len(),b.base.limits.len(),b.rules.iter().map(|r|r.tree.paths()).sum::<usize>(),t.elapsed());
   let mut bad=0; for c in &b.cases { let r=engine::cases::try_case(c,&b); if !r.wrong.is_empty(){bad+=1; println!("[{}] {} ({:?})",c.pack,c.title,c.about); for w in r.wrong{println!("    {w}")}} } println!("{bad} cases wrong of {}",b.cases.len());
 }, Err(e)=>for d in e.iter().take(400){println!("{d}")} }
}
